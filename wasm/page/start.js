// The program is asked for before anything else, and compiled as it comes, by a worker.
// The loader takes it from here.
{
	const { program, compile } = document.currentScript.dataset;
	const [address, worker] = [program, compile].map((path) => new URL(path, document.baseURI).href);
	const policy = globalThis.trustedTypes?.createPolicy("quietpump-compile", { createScriptURL: () => worker });
	const compiler = new Worker(policy?.createScriptURL("") ?? worker);
	const coming = { bytes: 0 };
	coming.program = new Promise((done, fail) => {
		const failed = (problem) => fail(new Error(problem));
		compiler.addEventListener("error", () => failed("its compiler did not come"));
		compiler.addEventListener("message", ({ data }) => {
			if (data.bytes) coming.bytes = data.bytes;
			if (data.problem) failed(data.problem);
			if (data.program) {
				done(data.program);
				compiler.terminate();
			}
		});
	});
	// The worker of an earlier visit has all the bytes, and there the browser may have kept
	// what it made of them: that is not to be got between.
	compiler.postMessage({ address, counted: !navigator.serviceWorker?.controller });
	globalThis.coming = coming;

	// While that goes on, the picture's canvas is joined to the graphics card, which takes
	// as long again. The window library makes its canvas by itself and asks the card to
	// draw every point four times over; the drawing smooths its own edges, so it is given
	// this one instead, in the one place where that can be done: as it asks for it.
	// TestTheCanvasIsNotSmoothedTwice says when the library no longer needs to be.
	const canvas = document.createElement("canvas");
	canvas.width = canvas.height = 16; // as the library will have it
	canvas.getContext("webgl2", { alpha: true, premultipliedAlpha: true, stencil: true, depth: false, antialias: false });
	document.createElement = (name, ...more) => {
		if (name !== "canvas") return Document.prototype.createElement.call(document, name, ...more);
		delete document.createElement;
		return canvas;
	};
}
