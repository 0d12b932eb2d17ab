// A sheet of the program's as HTML. Every word is set as text, every element made
// by name; what has not changed is left alone, so that focus, scroll and a
// half-typed word stay where they are.

const make = (name, className) => {
	const element = document.createElement(name);
	if (className) element.className = className;
	return element;
};

const setText = (element, text) => {
	if (element.textContent !== text) element.textContent = text;
};

// A number stays with its unit at the end of a line.
const unit = /(\d) (?=(?:fl.oz|psi|bar|kPa|gal|cups?|mL|L|ms|min|s|h|ft|in|mm|m|Ah|A|V|°[FC])(?![\p{L}]))/gu;
const together = (text) => text.replaceAll(unit, "$1\u00a0").replaceAll("fl oz", "fl\u00a0oz");

const button = () => Object.assign(make("button"), { type: "button" });

// dress makes a button do what the sheet says of it.
const dress = (element, { do: what, arg = "", text, off = false }, act) => {
	setText(element, text);
	// A button that cannot be pressed keeps the focus and can be read.
	element.setAttribute("aria-disabled", String(off));
	element.onclick = off ? null : () => act.send({ do: what, arg });
};

// A child for each of a list, by place.
const children = (parent, list, create, update) => {
	while (parent.children.length > list.length) parent.lastElementChild.remove();
	list.forEach((item, i) => {
		if (!parent.children[i]) parent.append(create(item));
		update(parent.children[i], item);
	});
};

// Each kind of block: how its element is made, and how it is brought up to date.
// act is what the page can do: send, press, pick.
const kinds = {
	words: {
		tag: (block) => (block.style === "head" ? "h2" : "p"),
		update(element, block) {
			element.className = block.style ?? "";
			setText(element, together(block.text));
		},
	},
	button: { tag: () => "button", update: (element, block, act) => { element.type = "button"; dress(element, block, act); } },
	buttons: {
		update(element, block, act) {
			element.className = "row";
			children(element, block.list ?? [], button, (child, item) => dress(child, item, act));
		},
	},
	// The stopwatch counts from the moment the finger lands. Keys and assistive
	// technology click without a pointer.
	tap: {
		tag: () => "button",
		update(element, block, act) {
			element.type = "button";
			element.className = block.small ? "tap low" : "tap";
			setText(element, block.text);
			const press = () => {
				act.press(block.do);
				element.classList.remove("hit");
				void element.offsetWidth; // begins the flash anew
				element.classList.add("hit");
			};
			element.onpointerdown = (event) => { if (event.isPrimary && event.button === 0) press(); };
			element.onclick = (event) => { if (event.detail === 0) press(); };
		},
	},
	choice: {
		tag: () => "fieldset",
		update(element, block, act) {
			element.className = "choice";
			if (!element.firstChild) element.append(make("legend"), make("div", "drawn"), make("div", "row"));
			const [ask, drawn, row] = element.children;
			setText(ask, block.ask);
			draw(drawn, block.picture, act);
			children(row, block.answers ?? [], button, (child, answer) => {
				dress(child, { do: block.do, arg: answer.arg, text: answer.text }, act);
				child.setAttribute("aria-pressed", String(answer.arg === block.chosen));
			});
		},
	},
	field: {
		tag: () => "label",
		update(element, block, act) {
			element.className = "field";
			if (!element.firstChild) {
				element.append(make("span"), Object.assign(make("input"), { type: "text", autocomplete: "off", spellcheck: false }), make("span", "problem"));
			}
			const [ask, input, problem] = element.children;
			setText(ask, block.ask);
			setText(problem, block.problem ?? "");
			input.placeholder = block.hint ?? "";
			input.setAttribute("aria-invalid", String(Boolean(block.problem)));
			if (document.activeElement !== input && input.value !== block.value) input.value = block.value;
			input.onchange = () => act.send({ do: block.do, arg: input.value });
		},
	},
	slide: {
		tag: () => "label",
		update(element, block, act) {
			element.className = "slide";
			if (!element.firstChild) element.append(make("span"), Object.assign(make("input"), { type: "range", min: 0, max: 1, step: "any" }), make("output"));
			const [ask, input, shows] = element.children;
			setText(ask, block.ask);
			setText(shows, block.shows);
			input.setAttribute("aria-valuetext", block.shows);
			if (!input.matches(":active") && input.value !== String(block.at)) input.value = String(block.at);
			input.oninput = () => act.send({ do: block.do, arg: input.value });
			// A key moves it by a fiftieth, which "any" leaves to the browser.
			input.onkeydown = (event) => {
				const step = { ArrowRight: 0.02, ArrowUp: 0.02, ArrowLeft: -0.02, ArrowDown: -0.02, PageUp: 0.1, PageDown: -0.1 }[event.key];
				if (!step) return;
				event.preventDefault();
				input.value = String(Number(input.value) + step);
				input.oninput();
			};
		},
	},
	open: {
		tag: () => "label",
		update(element, block, act) {
			element.className = "open";
			if (!element.firstChild) element.append(make("span"), Object.assign(make("input"), { type: "file" }));
			const [words, input] = element.children;
			setText(words, block.text);
			input.onchange = () => {
				if (input.files[0]) act.pick(input.files[0], block.do);
				input.value = "";
			};
		},
	},
	// The time left is what the clock says, however long the page slept.
	countdown: {
		update(element, block) {
			element.className = "countdown";
			if (!element.firstChild) element.append(make("output"), make("span"));
			element.dataset.until = String(Date.parse(block.until));
			element.dataset.text = block.text;
			element.dataset.done = block.done;
			tick(element);
		},
	},
	picture: { tag: () => "figure", update: (element, block, act) => draw(element, block.svg, act) },
	rows: {
		update(element, block) {
			element.className = "rows";
			if (!element.firstChild) element.append(make("table"));
			children(element.firstChild, block.cells ?? [], () => make("tr"), (row, cells) => {
				const cell = row.rowIndex === 0 ? "th" : "td";
				children(row, cells, () => make(cell), (child, text) => {
					setText(child, text);
					child.classList.toggle("short", text.length < 9); // a number stays with its unit
				});
			});
		},
	},
};

const two = (n) => String(n).padStart(2, "0");

const tick = (element) => {
	const left = Math.ceil((Number(element.dataset.until) - Date.now()) / 1000);
	const [clock, words] = element.children;
	element.classList.toggle("over", left <= 0);
	setText(words, left > 0 ? element.dataset.text : element.dataset.done);
	const hours = Math.floor(left / 3600);
	setText(clock, left > 0 ? `${hours > 0 ? `${hours}:` : ""}${two(Math.floor(left / 60) % 60)}:${two(left % 60)}` : "");
};

setInterval(() => document.querySelectorAll(".countdown").forEach(tick), 250);

// An SVG picture of the program's is read as a document of its own, in which
// nothing runs, and only lines, areas and words are taken over from it. Its colours
// come from the style sheet by class, so that they follow the reader's setting.
const svg = "http://www.w3.org/2000/svg";
const drawable = new Set(["g", "path", "text", "tspan", "circle", "rect", "line", "polyline", "polygon", "ellipse"]);
const lent = new Set(["viewBox", "class", "fill", "stroke", "stroke-width", "stroke-dasharray", "stroke-linecap", "stroke-linejoin", "d", "x", "y", "x1", "y1", "x2", "y2",
	"cx", "cy", "r", "rx", "ry", "width", "height", "points", "transform", "text-anchor", "font-size", "font-weight", "font-family", "paint-order", "opacity"]);

const copied = (from, name) => {
	const to = document.createElementNS(svg, name);
	for (const { name: key, value } of from.attributes) {
		if (lent.has(key)) to.setAttribute(key, value);
	}
	for (const child of from.childNodes) {
		if (child.nodeType === Node.TEXT_NODE) to.append(child.data);
		else if (drawable.has(child.localName)) to.append(copied(child, child.localName));
	}
	return to;
};

const draw = (parent, text, act) => {
	if (parent.drawing === (text ?? "")) return;
	parent.drawing = text ?? "";
	parent.replaceChildren();
	if (!text) return;
	const root = act.parse(text, "image/svg+xml").documentElement;
	if (root.localName !== "svg") return;
	const picture = copied(root, "svg");
	picture.setAttribute("role", "img");
	picture.setAttribute("aria-label", ["title", "desc"].map((name) => root.querySelector(name)?.textContent ?? "").filter(Boolean).join(". "));
	parent.append(picture);
};

// A report of the program's, for the printer: the same way with words, tables and
// pictures.
const printable = new Set(["h1", "h2", "h3", "h4", "p", "ul", "ol", "li", "dl", "dt", "dd", "table", "caption", "thead", "tbody", "tr", "th", "td", "strong", "em", "b", "i", "small", "br", "hr",
	"section", "article", "header", "footer", "main", "figure", "figcaption", "div", "span", "details", "summary", "blockquote"]);

const taken = (from, into) => {
	for (const child of from.childNodes) {
		if (child.nodeType === Node.TEXT_NODE) into.append(child.data);
		else if (child.localName === "svg") into.append(copied(child, "svg"));
		else if (printable.has(child.localName)) {
			const to = make(child.localName, child.className);
			into.append(to);
			taken(child, to);
		}
	}
};

export function printed(text, act) {
	const page = document.getElementById("printed");
	page.replaceChildren();
	taken(act.parse(text, "text/html").body, page);
}

// A block keeps its element from sheet to sheet if it is of the same kind and does
// the same: the n-th of its like.
const keyed = (list) => {
	const count = new Map();
	return list.map(({ kind, block }) => {
		const like = `${kind} ${block.do ?? ""} ${block.arg ?? ""} ${block.style === "head" ? "head" : ""}`;
		const n = (count.get(like) ?? 0) + 1;
		count.set(like, n);
		return `${like} ${n}`;
	});
};

let shown = null;
let said = "";

// show brings the note up to date.
export function show(sheet, act) {
	const note = document.getElementById("note");
	const title = document.getElementById("title");
	const blocks = document.getElementById("blocks");
	const focused = document.activeElement;
	const turned = shown !== null && (shown.chapter !== sheet.chapter || shown.page !== sheet.page);
	if (turned || !blocks.keyed) {
		blocks.replaceChildren();
		blocks.keyed = new Map();
		note.scrollTop = 0;
	}
	shown = sheet;
	setText(title, sheet.title);
	document.documentElement.dataset.chapter = sheet.chapter;
	document.title = `${sheet.title} (quietpump)`;
	for (const link of document.querySelectorAll("[data-chapter]")) {
		if (link.dataset.chapter === sheet.chapter) link.setAttribute("aria-current", "page");
		else link.removeAttribute("aria-current");
	}

	const keys = keyed(sheet.blocks);
	const kept = new Map();
	let place = blocks.firstElementChild;
	sheet.blocks.forEach(({ kind, block }, i) => {
		const known = kinds[kind];
		if (!known) return;
		let element = blocks.keyed.get(keys[i]);
		if (!element) element = make(known.tag?.(block) ?? "div");
		kept.set(keys[i], element);
		element.dataset.kind = kind;
		if (block.do) element.dataset.do = block.do;
		if (element === place) place = place.nextElementSibling;
		else blocks.insertBefore(element, place);
		known.update(element, block, act);
	});
	for (const [key, element] of blocks.keyed) {
		if (!kept.has(key)) element.remove();
	}
	blocks.keyed = kept;

	const next = document.getElementById("next");
	children(next, sheet.next ? [sheet.next] : [], button, (element, item) => {
		element.dataset.do = item.do;
		dress(element, item, act);
	});
	document.body.classList.toggle("tapping", sheet.blocks.some(({ kind, block }) => kind === "tap" && !block.small));

	// What had the focus may be gone: then reading goes on from the title.
	if (turned || (focused && focused !== document.body && !focused.isConnected)) title.focus({ preventScroll: !turned });
	if (sheet.say && sheet.say !== said) act.say(sheet.say);
	said = sheet.say;
}
