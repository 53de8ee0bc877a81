// The engine, behind one small interface: `ask(request)` takes an object, gives a promise
// of the answer's object. Two backs: WebAssembly in workers, or the program's server.

const byId = (id) => document.getElementById(id);

/** An answer that is an error; `message`, `hint`, `setting` and `faults` as the engine gives them. */
class Refusal extends Error {
  constructor(error) {
    super(error.message);
    this.hint = error.hint || "";
    this.setting = error.setting || "";
    this.faults = error.faults || [];
  }
}

/** The engine as WebAssembly, from its packed bytes. */
async function engineFrom(packed, catalogue) {
  const unpacked = new Blob([packed]).stream().pipeThrough(new DecompressionStream("gzip"));
  const module = await WebAssembly.compile(await new Response(unpacked).arrayBuffer());
  const encoder = new TextEncoder();
  const decoder = new TextDecoder();
  let face;
  const hand = (text, take) => {
    const bytes = encoder.encode(text);
    const at = face.room(bytes.length) >>> 0;
    new Uint8Array(face.memory.buffer, at, bytes.length).set(bytes);
    const given = take(at, bytes.length);
    face.free(at, bytes.length);
    return given;
  };
  const start = async () => {
    face = (await WebAssembly.instantiate(module)).exports;
    if (hand(catalogue, face.furnish) !== 1) throw new Error("the engine does not take its catalogue");
  };
  await start();
  return async (text) => {
    try {
      const at = hand(text, face.reply) >>> 0;
      const length = new DataView(face.memory.buffer).getUint32(at, true);
      const answer = decoder.decode(new Uint8Array(face.memory.buffer, at + 4, length));
      face.free(at, length + 4);
      return answer;
    } catch (trap) {
      // A trap leaves the engine's memory as it fell: start afresh for the next question.
      await start();
      throw new Error(`the engine stopped on this question (${trap})`);
    }
  };
}

/** What a worker runs: an engine of its own, questions answered in the order they come. */
const WORK = `"use strict"; ${engineFrom}
let engine;
onmessage = async ({ data }) => {
  try {
    if (data.packed) engine = engineFrom(data.packed, data.catalogue);
    else postMessage({ answer: await (await engine)(data.text) });
  } catch (trap) { postMessage({ trap: trap.message }); }
};`;

/** The engine in a worker. `newest`: a question that comes while one is under way ends that. */
function engineInWorker(packed, catalogue, newest) {
  const source = URL.createObjectURL(new Blob([WORK], { type: "text/javascript" }));
  let worker = null, waiting = [];
  const stop = (why) => {
    if (worker) worker.terminate();
    worker = null;
    for (const { refuse } of waiting.splice(0)) refuse(new Refusal({ message: why }));
  };
  const start = () => {
    worker = new Worker(source);
    worker.onmessage = ({ data }) => {
      const { take, refuse } = waiting.shift();
      if (data.trap) refuse(new Refusal({ message: data.trap }));
      else take(data.answer);
    };
    worker.onerror = (error) => stop(`the engine does not run in this browser's worker: ${error.message || "no reason given"}`);
    worker.postMessage({ packed, catalogue });
  };
  return (text) => new Promise((take, refuse) => {
    if (newest && waiting.length > 0) stop("a newer question came");
    if (!worker) start();
    waiting.push({ take, refuse });
    worker.postMessage({ text });
  });
}

/** The engine of the server that gave this page. */
function engineOfServer() {
  return async (text) => {
    try {
      const response = await fetch("answer", { method: "POST", headers: { "content-type": "application/json" }, body: text });
      return await response.text();
    } catch (gone) {
      throw new Refusal({ message: "the server that this page came from does not answer", hint: "start it again, then change anything here" });
    }
  };
}

/** Bytes written as base64. */
function fromBase64(text) {
  const raw = atob(text.trim());
  const bytes = new Uint8Array(raw.length);
  for (let i = 0; i < raw.length; i += 1) bytes[i] = raw.charCodeAt(i);
  return bytes;
}

/** What takes long enough to hold up a slider: a worker of its own has it, the newest only. */
const LONG = ["end", "warmth"];

/** Opens the back this page was made for. */
async function openEngine() {
  const where = document.documentElement.dataset.engine;
  let quick, long;
  if (where === "server") {
    quick = long = engineOfServer();
  } else {
    const catalogue = byId("catalogue").textContent;
    const packed = where === "inside"
      ? fromBase64(byId("engine").textContent)
      : await (await fetch("engine.bin")).arrayBuffer();
    [quick, long] = [false, true].map((newest) => engineInWorker(packed, catalogue, newest));
  }
  return async (request) => {
    const back = LONG.includes(request.ask) ? long : quick;
    const answer = JSON.parse(await back(JSON.stringify(request)));
    if (answer.error) throw new Refusal(answer.error);
    return answer;
  };
}
