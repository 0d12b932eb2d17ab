// The program is asked for before anything else, and the browser compiles it as it
// comes. The loader takes it from here.
{
	const response = fetch(document.currentScript.dataset.program).then((answer) => {
		if (!answer.ok) throw new Error(`the program did not come: ${answer.status}`);
		return answer;
	});
	globalThis.coming = {
		copy: response.then((answer) => answer.clone()), // to count its bytes on
		program: WebAssembly.compileStreaming(response),
	};
}
