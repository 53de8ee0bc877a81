// What the single file begins with: unpacks the script that stands beside it, and runs it.
(async () => {
  "use strict";
  try {
    const packed = Uint8Array.from(atob(document.getElementById("script").textContent), (c) => c.charCodeAt(0));
    const unpacked = new Blob([packed]).stream().pipeThrough(new DecompressionStream("gzip"));
    const script = document.createElement("script");
    script.textContent = await new Response(unpacked).text();
    document.body.append(script);
  } catch (error) {
    document.getElementById("answer").textContent = `This page does not start in this browser: ${error.message}. A browser of 2023 or later has what it needs.`;
  }
})();
