// What is done on the canvas goes to the program as lines, and the window library
// in the program never hears of it. That cures four things at once:
//
//   - The library cancels every key while the canvas has the focus, Tab with it:
//     who got in could not get out. It now hears no key. The note's own buttons do
//     all that the canvas does.
//   - It does not know touchcancel: a finger that the browser takes away stays
//     down, and the next tap is swallowed. A pointer that is cancelled is told as
//     gone.
//   - A press and its release within one frame are lost on a slow phone. Lines are
//     not.
//   - It takes the focus at each press, away from the field one is typing in.

const unheard = ["keydown", "keyup", "mousedown", "mouseup", "mousemove", "wheel", "touchstart", "touchmove", "touchend", "touchcancel", "dragover", "drop"];

const onCanvas = (event) => event.target instanceof HTMLCanvasElement;

// listen tells send({do, arg}) of what is done on the canvas, and dropped(file) of
// a file that is dropped anywhere.
export function listen(send, dropped) {
	const tell = (word, event, more = "") =>
		send({ do: "page.pointer", arg: `${word} ${event.clientX.toFixed(1)} ${event.clientY.toFixed(1)}${more}` });

	// One finger counts: the first. Moves are told once a frame.
	let held = null;
	let moved = null;
	const flush = () => {
		if (moved) tell(held === null ? "move" : "drag", moved);
		moved = null;
	};
	addEventListener("pointerdown", (event) => {
		if (!onCanvas(event) || held !== null || event.button !== 0) return;
		flush();
		held = event.pointerId;
		event.target.setPointerCapture(held);
		tell("down", event);
	}, true);
	addEventListener("pointermove", (event) => {
		if (!onCanvas(event) || (held !== null && event.pointerId !== held)) return;
		if (!moved) requestAnimationFrame(flush);
		moved = event;
	}, true);
	const lift = (word) => (event) => {
		if (event.pointerId !== held) return;
		flush();
		held = null;
		tell(word, event);
	};
	addEventListener("pointerup", lift("up"), true);
	addEventListener("pointercancel", lift("gone"), true);
	addEventListener("wheel", (event) => {
		if (onCanvas(event) && !event.ctrlKey) tell("wheel", event, ` ${(-event.deltaY / 100).toFixed(3)}`);
	}, { capture: true, passive: true });

	addEventListener("dragover", (event) => event.preventDefault(), true);
	addEventListener("drop", (event) => {
		event.preventDefault();
		for (const file of event.dataTransfer?.files ?? []) dropped(file);
	}, true);

	for (const kind of unheard) {
		addEventListener(kind, (event) => {
			if (onCanvas(event)) event.stopImmediatePropagation();
		}, { capture: true, passive: true });
	}
}
