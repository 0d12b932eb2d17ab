// A worker that fetches the program and has it compiled as it comes, so that the page,
// which is being laid out meanwhile, does not wait for it nor it for the page. It says how
// many bytes have come by, and at the end hands over the program, or what went wrong.

const often = 1 << 20; // bytes

self.addEventListener("message", ({ data: { address, counted } }) => {
	const response = fetch(address).then((answer) => {
		if (!answer.ok) throw new Error(`the program did not come: ${answer.status}`);
		if (!counted) return answer;
		let bytes = 0;
		let told = 0;
		const count = new TransformStream({
			transform(piece, to) {
				bytes += piece.length;
				if (bytes - told >= often) {
					told = bytes;
					self.postMessage({ bytes });
				}
				to.enqueue(piece);
			},
		});
		return new Response(answer.body.pipeThrough(count), { headers: answer.headers });
	});
	WebAssembly.compileStreaming(response).then(
		(program) => self.postMessage({ program }),
		(problem) => self.postMessage({ problem: problem.message }),
	);
});
