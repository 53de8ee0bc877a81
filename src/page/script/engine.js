// The engine, behind one small interface: `ask(request)` takes an object, gives a promise
// of the answer's object. Two backs: WebAssembly in workers, or the program's server.

/** Elements of the page, each known by its id or place to be there and to be what it is.
    @type {(id: string) => any} */
const byId = (id) => document.getElementById(id);
/** @type {(selector: string) => any} */
const firstOf = (selector) => document.querySelector(selector);
/** @type {(selector: string) => any} */
const allOf = (selector) => document.querySelectorAll(selector);

/** An answer that is an error; `message`, `hint`, `setting` and `faults` as the engine gives them. */
class Refusal extends Error {
  constructor(error) {
    super(error.message);
    this.hint = error.hint || "";
    this.setting = error.setting || "";
    this.faults = error.faults || [];
  }
}

/** The engine's module, from its packed bytes. */
async function moduleOf(packed) {
  const unpacked = new Blob([packed]).stream().pipeThrough(new DecompressionStream("gzip"));
  return WebAssembly.compile(await new Response(unpacked).arrayBuffer());
}

/** An engine of a module. */
async function engineOf(module, catalogue) {
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
    /** @type {any} */
    const made = await WebAssembly.instantiate(module);
    face = made.exports;
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
const WORK = `"use strict"; ${engineOf}
let engine;
onmessage = async ({ data }) => {
  try {
    if (data.module) engine = engineOf(data.module, data.catalogue);
    else postMessage({ answer: await (await engine)(data.text) });
  } catch (trap) { postMessage({ trap: trap.message }); }
};`;

/** The engine in a worker. `stop` ends what is under way there. */
function engineInWorker(module, catalogue) {
  const source = URL.createObjectURL(new Blob([WORK], { type: "text/javascript" }));
  const waiting = [];
  let worker = null;
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
    worker.postMessage({ module, catalogue });
  };
  const ask = (text) => new Promise((take, refuse) => {
    if (!worker) start();
    waiting.push({ take, refuse });
    worker.postMessage({ text });
  });
  return { ask, stop: () => { if (waiting.length > 0) stop("a newer question came"); } };
}

/** The engine of the server that gave this page. */
function engineOfServer() {
  let under = new AbortController();
  const ask = async (text) => {
    try {
      const response = await fetch("answer", { method: "POST", headers: { "content-type": "application/json" }, body: text, signal: under.signal });
      return await response.text();
    } catch (gone) {
      if (gone.name === "AbortError") throw new Refusal({ message: "a newer question came" });
      throw new Refusal({ message: "the server that this page came from does not answer", hint: "start it again, then change anything here" });
    }
  };
  return { ask, stop: () => { under.abort(); under = new AbortController(); } };
}

/** Bytes written as base64. */
function fromBase64(text) {
  const raw = atob(text.trim());
  const bytes = new Uint8Array(raw.length);
  for (let i = 0; i < raw.length; i += 1) bytes[i] = raw.charCodeAt(i);
  return bytes;
}

/** What takes long enough to hold up a slider has a worker of its own, where a newer question
    ends the older. */
const LONG = ["end", "warmth", "card", "steps", "chart"];

/** Opens the back this page was made for: `ask(request)`, `ask(request, true)` for one that is to
    hold up no slider either, and `ask.stop()`, which ends the quick question that is under way. */
async function openEngine() {
  const where = document.documentElement.dataset.engine;
  let quick, long;
  if (where === "server") {
    [quick, long] = [engineOfServer(), engineOfServer()];
  } else {
    const catalogue = byId("catalogue").textContent;
    const packed = where === "inside"
      ? fromBase64(byId("engine").textContent)
      : await (await fetch("engine.bin")).arrayBuffer();
    const module = await moduleOf(packed);
    [quick, long] = [engineInWorker(module, catalogue), engineInWorker(module, catalogue)];
  }
  const ask = async (request, aside = false) => {
    const slow = aside || LONG.includes(request.ask);
    if (slow) long.stop();
    const answer = JSON.parse(await (slow ? long : quick).ask(JSON.stringify(request)));
    if (answer.error) throw new Refusal(answer.error);
    return answer;
  };
  ask.stop = quick.stop;
  return ask;
}
