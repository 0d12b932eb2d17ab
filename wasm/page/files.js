// What the program sees of the page: standard input and output as lines, and a
// small table of files in memory. It takes the place of the file system that
// wasm_exec.js puts up, before the program starts.

const flags = { O_WRONLY: 1, O_RDWR: 2, O_CREAT: 64, O_EXCL: 128, O_TRUNC: 512, O_APPEND: 1024, O_DIRECTORY: 65536 };

const fault = (code) => Object.assign(new Error(code), { code });

// The program's stat call reads every one of these.
const stat = (size) => ({
	dev: 0, ino: 0, mode: 0o100600, nlink: 1, uid: 0, gid: 0, rdev: 0, size, blksize: 4096, blocks: Math.ceil(size / 512),
	atimeMs: 0, mtimeMs: 0, ctimeMs: 0, isDirectory: () => false,
});

// install puts the table up; heard(line) is called with each line the program writes.
export function install(heard) {
	const table = new Map(); // name to Uint8Array
	const open = new Map(); // number to { name, at }
	let number = 3;

	// Standard output. A character may be cut in two between writes.
	const decoders = { 1: new TextDecoder(), 2: new TextDecoder() };
	const begun = { 1: "", 2: "" };
	const written = (fd, bytes) => {
		begun[fd] += decoders[fd].decode(bytes, { stream: true });
		for (let end = begun[fd].indexOf("\n"); end >= 0; end = begun[fd].indexOf("\n")) {
			const line = begun[fd].slice(0, end);
			begun[fd] = begun[fd].slice(end + 1);
			heard(line);
		}
	};

	// Standard input. A read with nothing to read waits for the next line.
	let waiting = new Uint8Array(0);
	let reader = null;
	const hand = () => {
		if (!reader || waiting.length === 0) return;
		const { buffer, offset, length, callback } = reader;
		const n = Math.min(length, waiting.length);
		buffer.set(waiting.subarray(0, n), offset);
		waiting = waiting.slice(n);
		reader = null;
		callback(null, n);
	};

	const write = (fd, bytes) => {
		if (fd === 1 || fd === 2) return written(fd, bytes);
		const file = open.get(fd);
		const old = table.get(file.name);
		const grown = new Uint8Array(Math.max(old.length, file.at + bytes.length));
		grown.set(old);
		grown.set(bytes, file.at);
		table.set(file.name, grown);
		file.at += bytes.length;
		return undefined;
	};

	Object.assign(globalThis.fs, {
		constants: flags,
		writeSync(fd, bytes) {
			write(fd, bytes);
			return bytes.length;
		},
		write(fd, buffer, offset, length, position, callback) {
			if (fd > 2 && !open.has(fd)) return callback(fault("EBADF"));
			if (fd > 2 && position !== null) open.get(fd).at = position;
			write(fd, buffer.subarray(offset, offset + length));
			return callback(null, length);
		},
		open(name, how, mode, callback) {
			if (!table.has(name)) {
				if (!(how & flags.O_CREAT)) return callback(fault("ENOENT"));
				table.set(name, new Uint8Array(0));
			}
			if (how & flags.O_TRUNC) table.set(name, new Uint8Array(0));
			open.set(number, { name, at: how & flags.O_APPEND ? table.get(name).length : 0 });
			return callback(null, number++);
		},
		read(fd, buffer, offset, length, position, callback) {
			if (fd === 0) {
				reader = { buffer, offset, length, callback };
				return hand();
			}
			const file = open.get(fd);
			if (!file) return callback(fault("EBADF"));
			const from = position === null || position === undefined ? file.at : position;
			const part = table.get(file.name).subarray(from, from + length);
			buffer.set(part, offset);
			if (position === null || position === undefined) file.at += part.length;
			return callback(null, part.length);
		},
		fstat(fd, callback) {
			const file = open.get(fd);
			return callback(null, stat(file ? table.get(file.name).length : 0));
		},
		stat(name, callback) {
			return table.has(name) ? callback(null, stat(table.get(name).length)) : callback(fault("ENOENT"));
		},
		lstat(name, callback) {
			return globalThis.fs.stat(name, callback);
		},
		unlink(name, callback) {
			return table.delete(name) ? callback(null) : callback(fault("ENOENT"));
		},
		close(fd, callback) {
			open.delete(fd);
			callback(null);
		},
	});

	const encoder = new TextEncoder();
	return {
		// send gives the program a line of JSON.
		send(event) {
			const line = encoder.encode(JSON.stringify(event) + "\n");
			const all = new Uint8Array(waiting.length + line.length);
			all.set(waiting);
			all.set(line, waiting.length);
			waiting = all;
			hand();
		},
		put: (name, bytes) => table.set(name, bytes),
		// take gives the bytes of a file, which the table then no longer holds.
		take(name) {
			const bytes = table.get(name) ?? new Uint8Array(0);
			table.delete(name);
			return bytes;
		},
	};
}
