// Compiles single sources of a built tree once more, changed or with other options, and links a test program with
// them. The archive's own object is then not taken, since all it defines is there already: nothing in the tree or in
// build/ changes. Needs a build with -DVOLTSILL_UNITY=OFF, where every source has a command of its own.
import { spawn, spawnSync } from "node:child_process";
import { existsSync, readFileSync, readdirSync, writeFileSync } from "node:fs";
import { basename, dirname, join, resolve } from "node:path";
import { fileURLToPath } from "node:url";

export const root = resolve(dirname(fileURLToPath(import.meta.url)), "../..");

export function sourcesOf(room) {
    return [join(root, "src", room), join(root, "src", room, "circuits")].filter(existsSync).flatMap((folder) =>
        readdirSync(folder)
            .filter((f) => f.endsWith(".cpp"))
            .map((f) => join(folder, f)),
    );
}

// Blanks out comments and strings, keeping every position.
export function codeOnly(text) {
    return text.replace(/\/\/[^\n]*|\/\*[\s\S]*?\*\/|"(?:\\.|[^"\\\n])*"|'(?:\\.|[^'\\\n])'|^\s*#[^\n]*/gm, (m) =>
        m.replace(/[^\n]/g, " "),
    );
}

export class BuiltTree {
    constructor(build) {
        this.build = resolve(build);
        const listed = spawnSync("ninja", ["-C", this.build, "-t", "compdb"], { encoding: "utf8", maxBuffer: 1 << 28 });
        if (listed.status !== 0) throw new Error(`${build} is not a build tree of Ninja: ${listed.stderr}`);
        this.commands = JSON.parse(listed.stdout);
    }

    // The command that compiled `source` (absolute) into the plain core, as [words, output].
    compileOf(source) {
        const entry = this.commands.find(
            (c) => c.file === source && c.output.startsWith("CMakeFiles/voltsill-core.dir/"),
        );
        if (!entry) throw new Error(`${source} has no command of its own: configure with -DVOLTSILL_UNITY=OFF`);
        return entry.command;
    }

    // Compiles the text at `input` as if it were `source`; false where it does not compile.
    async compile(source, input, object, extra = []) {
        const command = this.compileOf(source)
            .replace(/-M[FT] \S+|-MD/g, "")
            .replace(
                / -o \S+ -c \S+.*/,
                ` -w -iquote ${resolve(source, "..")} ${extra.join(" ")} -o ${object} -c ${input}`,
            );
        // An object out of a cache may name another run's file of counts, and a changed one is not wanted again.
        return (
            (await run("sh", ["-c", command], this.build, 300, { ...process.env, CCACHE_DISABLE: "1" })).status === 0
        );
    }

    // Compiles once what `sources` include; returns the options by which each of them then costs little more than its
    // own lines. They hold for compiling with the same `extra` only.
    async precompiled(sources, header, extra = []) {
        const lines = new Set(sources.flatMap((f) => readFileSync(f, "utf8").match(/^#include .*$/gm) ?? []));
        writeFileSync(header, [...lines].join("\n"));
        const folders = new Set(sources.map((f) => `-iquote ${resolve(f, "..")}`));
        const command = this.compileOf(sources[0])
            .replace(/-M[FT] \S+|-MD/g, "")
            .replace(
                / -o \S+ -c \S+.*/,
                ` -w ${[...folders, ...extra].join(" ")} -x c++-header -o ${header}.gch ${header}`,
            );
        const made = await run("sh", ["-c", command], this.build, 600, { ...process.env, CCACHE_DISABLE: "1" });
        return made.status === 0 ? [...extra, `-include ${header}`] : extra;
    }

    // Links tests/test-`room` with `objects` in the place of their archive members.
    async link(room, objects, program, extra = []) {
        const entry = this.commands.find((c) => c.output === `tests/test-${room}`);
        const command = entry.command
            .replace(/^: && /, "")
            .replace(/ && .*$/s, "")
            .replace(/ -o \S+/, ` ${extra.join(" ")} ${objects.join(" ")} -o ${program}`);
        const linked = await run("sh", ["-c", command], this.build, 300);
        if (linked.status !== 0) throw new Error(`${basename(program)} does not link:\n${linked.text.slice(0, 2000)}`);
    }
}

// Runs to the end or for `seconds`; status null is the end by time or by a signal.
export function run(program, words, cwd, seconds, env = process.env) {
    return new Promise((done) => {
        const child = spawn(program, words, { cwd, env, detached: true, stdio: ["ignore", "pipe", "pipe"] });
        let text = "";
        const keep = (chunk) => {
            if (text.length < 1 << 20) text += chunk;
        };
        child.stdout.on("data", keep);
        child.stderr.on("data", keep);
        const end = () => {
            try {
                process.kill(-child.pid, "SIGKILL");
            } catch {
                /* it ended by itself */
            }
        };
        const timer = setTimeout(end, seconds * 1000);
        child.on("error", (e) => {
            clearTimeout(timer);
            done({ status: null, text: e.message });
        });
        child.on("close", (status) => {
            clearTimeout(timer);
            done({ status, text });
        });
    });
}
