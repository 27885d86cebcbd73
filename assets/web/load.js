// Fetches the program with a progress bar, starts it, and says plainly what went wrong if it cannot.
"use strict";
(function () {
  const load = document.getElementById("load");
  const bar = document.getElementById("bar");
  const done = document.getElementById("done");
  const word = document.getElementById("word");

  function fail(text) {
    load.hidden = false;
    load.style.display = "";
    bar.style.display = "none";
    word.className = "bad";
    word.textContent = text;
  }

  function show(share, text) {
    done.style.width = Math.round(share * 100) + "%";
    bar.setAttribute("aria-valuenow", String(Math.round(share * 100)));
    word.textContent = text;
  }

  if (typeof WebAssembly !== "object" || typeof WebAssembly.instantiate !== "function") {
    fail("This browser has no WebAssembly, which the bench is made of. Any current browser has it.");
    return;
  }
  const probe = document.createElement("canvas");
  if (!probe.getContext("webgl2") && !probe.getContext("webgl")) {
    fail("This browser offers no WebGL to draw with. Switch on hardware acceleration, or use another browser.");
    return;
  }
  if (typeof Go !== "function") {
    fail("The file wasm_exec.js is missing beside this page. Whoever runs the server must copy it from the Go toolchain that built the program.");
    return;
  }

  // The program is compiled while it arrives. The length of the packed file is not that of what arrives, so the server tells the unpacked length by a header; without
  // it the bar is guessed.
  async function fetchProgram() {
    const answer = await fetch("foilwright.wasm");
    if (!answer.ok) {
      throw new Error("the server answered " + answer.status + " " + answer.statusText + " for foilwright.wasm");
    }
    const packed = answer.headers.get("Content-Encoding");
    const length = Number(answer.headers.get("X-Unpacked-Length") || (packed ? 0 : answer.headers.get("Content-Length"))) || 13e6;
    let got = 0;
    const counted = answer.body.pipeThrough(new TransformStream({
      transform(part, out) {
        got += part.length;
        show(Math.min(got / length, 1) * 0.9, "Loading the bench: " + (got / 1e6).toFixed(1) + " MB");
        out.enqueue(part);
      },
      flush() {
        show(0.93, "Setting up the bench…");
      },
    }));
    return new Response(counted, { headers: { "Content-Type": "application/wasm" } });
  }

  async function instantiate(answer, imports) {
    if (typeof WebAssembly.instantiateStreaming === "function") {
      return WebAssembly.instantiateStreaming(answer, imports);
    }
    return WebAssembly.instantiate(await answer.arrayBuffer(), imports);
  }

  async function start() {
    const go = new Go();
    go.argv = ["foilwright"];
    go.env = { GOGC: "800" }; // the first picture is sooner; the program sets it back then
    if (new URLSearchParams(location.search).has("gallery")) {
      go.argv.push("-gallery"); // the widgets of the kit instead of the bench
    }
    const only = new URLSearchParams(location.search).get("exercise");
    if (only) {
      go.argv.push("-only", only); // launched for one exercise
    }
    if (location.pathname.startsWith("/bench/")) {
      go.argv.push("-class", location.origin.replace(/^http/, "ws") + "/bench/link"); // served by a class
    }
    const program = await instantiate(await fetchProgram(), go.importObject);
    show(1, "Starting…");
    // One turn for the browser to paint the bar before the program takes over.
    await new Promise((next) => setTimeout(next, 30));
    performance.mark("program-start");
    const run = go.run(program.instance);
    load.style.display = "none";
    const canvas = document.querySelector("canvas");
    if (canvas) {
      canvas.setAttribute("aria-label", "The bench; it works by mouse, touch and keyboard");
      canvas.focus();
    }
    await run;
    fail("The bench has ended. Load the page again to go on.");
  }

  start().catch((err) => fail("The bench could not start: " + err.message + "."));
})();
