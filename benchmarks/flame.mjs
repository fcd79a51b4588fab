// Where the time of a command goes, as a flame graph: who calls whom upwards, width as share of the samples.
//   perf record -F 999 --call-graph dwarf,16384 -o perf.data build/voltsill plan examples/rain-garden.toml > plan.txt
//   perf script -i perf.data | node benchmarks/flame.mjs "plan of the rain garden" > plan.svg
// Grey by depth, no colours that mean anything; a frame says its share in its title.
import { readFileSync } from "node:fs";

const width = 1200;
const row = 17;
const narrowest = 0.6;
const text_size = 11;
const title = process.argv[2] ?? "samples";

// "a::b<c>::d(e) const" -> "b::d"
const short = (name) => {
    let plain = name.replace(/\[clone[^\]]*\]|\(anonymous namespace\)::|\(inlined\)/g, "");
    for (let before = ""; before !== plain;) {
        before = plain;
        plain = plain.replace(/<[^<>]*>|\([^()]*\)/g, "");
    }
    return (
        plain
            .replace(/\b(const|voltsill::)\s*/g, "")
            .trim()
            .split("::")
            .slice(-2)
            .join("::") || name
    );
};

const root = { name: title, count: 0, inside: new Map() };
for (const block of readFileSync(0, "utf8").split(/\n\n+/)) {
    const frames = block
        .split("\n")
        .slice(1)
        .map((l) => /^\s+[0-9a-f]+ (.+?)(?:\+0x[0-9a-f]+)? \(/.exec(l)?.[1])
        .filter(Boolean);
    if (frames.length === 0) continue;
    const calls = frames
        .map(short)
        .reverse()
        .filter((f) => !/^(_start|__libc_start|main|\[unknown\])/.test(f));
    let at = root;
    ++at.count;
    for (const name of calls) {
        if (name === at.name) continue; // a function and its lambdas
        if (!at.inside.has(name)) at.inside.set(name, { name, count: 0, inside: new Map() });
        at = at.inside.get(name);
        ++at.count;
    }
}
if (root.count === 0) {
    console.error("no samples on standard input: perf script -i perf.data | node benchmarks/flame.mjs");
    process.exit(2);
}

const safe = (s) => s.replace(/[&<>"]/g, (c) => ({ "&": "&amp;", "<": "&lt;", ">": "&gt;", '"': "&quot;" })[c]);
const boxes = [];
let depth_of_all = 0;
function lay(frame, left, depth) {
    const wide = (frame.count / root.count) * width;
    if (wide < narrowest) return;
    depth_of_all = Math.max(depth_of_all, depth);
    boxes.push({ left, depth, wide, frame });
    let at = left;
    for (const inner of [...frame.inside.values()].sort((a, b) => b.count - a.count)) {
        lay(inner, at, depth + 1);
        at += (inner.count / root.count) * width;
    }
}
lay(root, 0, 0);
const height = (depth_of_all + 1) * row + 8;
console.log(
    `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 ${width} ${height}" font-family="sans-serif" ` +
        `font-size="${text_size}" role="img" aria-label="${safe(title)}">`,
);
console.log(`<rect width="${width}" height="${height}" fill="#fbfaf5"/>`);
for (const { left, depth, wide, frame } of boxes) {
    const y = height - 4 - (depth + 1) * row;
    const share = `${((100 * frame.count) / root.count).toFixed(1)} %`;
    const room = Math.floor((wide - 6) / (text_size * 0.56));
    const words = frame.name.length <= room ? frame.name : frame.name.slice(0, Math.max(0, room - 1)) + "…";
    const size = `x="${left.toFixed(2)}" y="${y}" width="${wide.toFixed(2)}" height="${row}"`;
    const box = `<rect ${size} fill="${depth % 2 ? "#e3e7ee" : "#d2d9e4"}" stroke="#fbfaf5"/>`;
    const at = `x="${(left + 3).toFixed(2)}" y="${y + row - 5}"`;
    const label = room > 3 ? `<text ${at} fill="#1b2030">${safe(words)}</text>` : "";
    console.log(`<g><title>${safe(frame.name)}: ${share}</title>${box}${label}</g>`);
}
console.log("</svg>");
