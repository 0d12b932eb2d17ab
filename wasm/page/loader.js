// The page's side of the program: fetches and starts it, sends it what the reader
// does, shows what it says. It works under a policy that allows no script but these
// files and no text to become markup.

import { install } from "./files.js";
import { listen } from "./input.js";
import { printed, show } from "./sheet.js";

const root = document.documentElement;
const byId = (id) => document.getElementById(id);

// --- Trusted types. The only address a script may come from is the service worker's. Text
// becomes a document only to be read by sheet.js, which copies what it knows; styles
// are cut out, for the policy would report them.
const address = new URL("worker.js", document.baseURI).href;
const inert = (text) => text.replace(/<style[\s\S]*?<\/style>/g, "").replace(/ (style|on\w+)="[^"]*"/g, "");
const policy = globalThis.trustedTypes?.createPolicy("quietpump", { createScriptURL: () => address, createHTML: inert }) ??
	{ createScriptURL: () => address, createHTML: inert };
const parse = (text, type) => new DOMParser().parseFromString(policy.createHTML(text), type);

// --- What is kept on this device. A browser may refuse (a private window): then it
// lasts as long as the page.
const memory = new Map();
const load = (key) => {
	try {
		return localStorage.getItem(`quietpump.${key}`);
	} catch {
		return memory.get(key) ?? null;
	}
};
const store = (key, text) => {
	try {
		localStorage.setItem(`quietpump.${key}`, text);
	} catch {
		memory.set(key, text);
	}
};

// --- Words for those who listen. At most one a second, the last of them.
let saying = null;
let quietUntil = 0;
const say = (text) => {
	if (saying !== null) {
		saying = text;
		return;
	}
	saying = text;
	setTimeout(() => {
		byId("said").textContent = saying;
		saying = null;
		quietUntil = Date.now() + 1000;
	}, Math.max(0, quietUntil - Date.now()));
};

// --- To the program.
const pipe = install(heard);
const send = (event) => pipe.send({ at: Date.now(), ...event });

// What the page is like: as it starts the program is told as arguments, the last of
// each, and of changes as of all else.
const look = new Map();
let started = false;
const tell = (word, arg) => {
	look.set(word, arg);
	if (started) send({ do: `page.${word}`, arg });
};

// The stopwatch: each press is on the device before the program hears of it, and
// is sent again after a reload unless the program has kept it since.
const presses = () => JSON.parse(load("presses") ?? "[]");
const press = (what) => {
	const number = Number(load("press") ?? "0") + 1;
	const event = { do: what, arg: "", at: Date.now(), press: number };
	store("press", String(number));
	store("presses", JSON.stringify([...presses(), event]));
	if (navigator.userActivation?.hasBeenActive) navigator.vibrate?.(15); // the first touch is not one yet
	pipe.send(event);
};

// A file is handed to the program under /in/.
const largest = 4 << 20;
const pick = async (file, what) => {
	if (file.size > largest) {
		say(`${file.name} is larger than ${largest >> 20} MB; a water system or a job card is a few kB.`);
		return;
	}
	const name = `/in/${file.name.replace(/[^\w.-]+/g, "-")}`;
	pipe.put(name, new Uint8Array(await file.arrayBuffer()));
	send({ do: what, arg: name });
};

const act = { send, press, pick, say, parse };

// --- From the program.
const text = (name) => new TextDecoder().decode(pipe.take(name));
const does = {
	sheet(line) {
		show(JSON.parse(line), act);
		store("sheet", line);
		measure();
	},
	say,
	keep(line) {
		store("kept", line);
		const { seen } = JSON.parse(line);
		store("presses", JSON.stringify(presses().filter((event) => event.press > seen)));
	},
	link(query) {
		const url = new URL(location.href);
		if (url.searchParams.get("chapter") === new URLSearchParams(query).get("chapter")) return;
		url.search = query;
		history.replaceState(null, "", url);
	},
	save(name) {
		const link = document.createElement("a");
		link.href = URL.createObjectURL(new Blob([pipe.take(name)]));
		link.download = name.replace("/out/", "");
		link.click();
		setTimeout(() => URL.revokeObjectURL(link.href), 60_000);
		say(`Saved as ${link.download}.`);
	},
	async copy(name) {
		try {
			await navigator.clipboard.writeText(text(name));
			say("Copied.");
		} catch {
			say("This browser does not let a page copy; use save instead.");
		}
	},
	async share(name) {
		const words = text(name);
		if (!navigator.share) {
			pipe.put(name, new TextEncoder().encode(words));
			await does.copy(name);
			return;
		}
		try {
			await navigator.share({ text: words });
		} catch {
			say("Not shared.");
		}
	},
	print(name) {
		printed(text(name), act);
		globalThis.print();
	},
	awake(word) {
		awake.wanted = word === "on";
		stayAwake();
	},
	state: (line) => { root.dataset.state = line; },
	ready() {
		// The first picture is on the screen two frames after it was drawn.
		requestAnimationFrame(() => requestAnimationFrame(() => {
			byId("loading").hidden = true;
			byId("still").hidden = true;
			root.dataset.ready = "1";
			root.dataset.at = String(performance.now());
			outlive();
		}));
	},
};

function heard(line) {
	const [, word, rest] = /^qp:(\w+) ?(.*)$/s.exec(line) ?? [];
	if (does[word]) does[word](rest);
	else console.log(line);
}

// --- The screen stays on while it is wanted. The lock goes whenever the page is out
// of sight, and is taken again.
const awake = { wanted: false, lock: null };
async function stayAwake() {
	if (!awake.wanted) {
		await awake.lock?.release();
		awake.lock = null;
		return;
	}
	if (document.visibilityState !== "visible" || (awake.lock && !awake.lock.released)) return;
	try {
		awake.lock = await navigator.wakeLock?.request("screen");
	} catch {
		awake.lock = null; // battery saving, or no leave: the clock does not mind
	}
}
document.addEventListener("visibilitychange", () => {
	tell("seen", document.visibilityState === "visible" ? "on" : "off");
	stayAwake();
});

// --- How large the page is, and the box that the note leaves free.
let measured = "";
function measure() {
	const note = byId("note").getBoundingClientRect();
	const [wide, high] = [document.body.clientWidth, document.body.clientHeight];
	const beside = note.width < 0.9 * wide;
	const box = beside ? [note.right, 0, wide, high] : [0, 0, wide, note.top];
	const line = [wide, high, ...box].map((x) => x.toFixed(1)).join(" ");
	if (line === measured) return;
	measured = line;
	tell("size", line);
}
new ResizeObserver(measure).observe(byId("note"));
addEventListener("resize", measure);

// Cure: the window library reads the pixel ratio once. After a zoom, or a move to
// another screen, the picture would stay blurred; the page is opened again, and all
// that was done is kept.
const density = devicePixelRatio;
look.set("density", String(density));
let reopening = 0;
const reopen = () => {
	clearTimeout(reopening);
	reopening = setTimeout(() => { if (devicePixelRatio !== density) location.reload(); }, 500);
};
matchMedia(`(resolution: ${density}dppx)`).addEventListener("change", reopen); // another screen
addEventListener("resize", reopen); // a zoom

// Cure: when the graphics card takes the drawing away, the library opens the page
// again by itself. What it kept at its last breath a second ago is there.

// --- How the reader wants to be shown things.
const follow = (query, word) => {
	const list = matchMedia(query);
	const now = () => tell(word, list.matches ? "on" : "off");
	list.addEventListener("change", now);
	now();
};

const units = byId("units");
const american = /^(en-US|en|es-US|en-LR|my-MM)$/.test(navigator.language);
const inUnits = (system) => {
	store("units", system);
	units.hidden = false;
	units.textContent = system === "us" ? "psi and gallons; show bar and litres" : "bar and litres; show psi and gallons";
	units.onclick = () => inUnits(system === "us" ? "metric" : "us");
	tell("units", system);
};

// --- The chapters are links that need no reload.
for (const link of document.querySelectorAll("[data-chapter]")) {
	link.addEventListener("click", (event) => {
		if (event.ctrlKey || event.metaKey || event.shiftKey) return;
		event.preventDefault();
		send({ do: "page.chapter", arg: link.dataset.chapter });
	});
}

// --- The canvas is a picture to those who do not see it, and no stop on the way of
// the Tab key: the note does all that it does.
new MutationObserver((changes, observer) => {
	const canvas = document.querySelector("canvas");
	if (!canvas) return;
	observer.disconnect();
	canvas.tabIndex = -1;
	canvas.setAttribute("role", "img");
	canvas.setAttribute("aria-label", "The water system, drawn from the side. What happens in it is told in the notes.");
}).observe(document.body, { childList: true });

// --- After one visit the page needs no network. Keeping its files waits until it can
// be played with, for it takes as long as fetching them.
function outlive() {
	navigator.serviceWorker?.register(policy.createScriptURL("worker.js")).then(
		() => navigator.serviceWorker.ready.then(() => { root.dataset.offline = "1"; }),
		() => { root.dataset.offline = "0"; }, // without it the page needs the network
	);
}

// --- The program, on its way since start.js. Painting the bar takes from compiling it:
// twice a second is enough.
const painting = setInterval(() => {
	const bar = byId("loaded");
	bar.value = globalThis.coming.bytes;
	byId("share").textContent = `${Math.min(100, Math.floor((100 * bar.value) / bar.max))} %`;
}, 500);

// The still and the first note are on the screen, and the browser has done with opening
// the page, before the program takes all there is of its time.
const painted = new Promise((done) => {
	const soon = () => requestAnimationFrame(() => setTimeout(done));
	if (document.readyState === "complete") soon();
	else addEventListener("load", soon);
});

async function run() {
	const go = new globalThis.Go();
	// Until the first picture nothing is worth looking for garbage.
	go.env = { GOGC: "1600" };
	const instance = await WebAssembly.instantiate(await globalThis.coming.program, go.importObject);
	clearInterval(painting);
	await painted;
	go.argv.push(...Array.from(look, ([word, arg]) => `${word}=${arg}`));
	started = true;
	await go.run(instance);
	throw new Error("the program ended");
}

function begin() {
	listen(send, (file) => pick(file, "page.file"));
	measure();
	follow("(prefers-color-scheme: dark)", "dark");
	follow("(prefers-reduced-motion: reduce)", "calm");
	inUnits(load("units") ?? (american ? "us" : "metric"));
	const kept = load("kept");
	if (kept) send({ do: "page.kept", arg: kept });
	if (location.search) send({ do: "page.link", arg: location.search });
	for (const event of presses()) pipe.send(event);
	pipe.send({ do: "page.begun" });
	if (location.hash === "#probe") pipe.send({ do: "page.probe" });

	// Words do not wait for the program: the note that was open is shown at once, or
	// the first of all. What is pressed meanwhile is sent when the program has come.
	const first = (kept && load("sheet")) ?? byId("first").textContent;
	if (!location.search.includes("rig=")) show({ ...JSON.parse(first), say: "" }, act);

	run().catch((problem) => {
		byId("loading").hidden = false;
		byId("loading").textContent = `The program stopped: ${problem.message}. Open the page again; what you did is kept.`;
	});
}

begin();
