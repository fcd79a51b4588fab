// No line of the tree is longer than 120 characters.
//   node tests/lines.mjs SOURCE
// Left out: what a program has written (golden files, its words for a bench), and inputs that are one line by nature.
import { readFileSync, readdirSync } from "node:fs";
import { join } from "node:path";

const longest = 120;
const source = process.argv[2];
const folders = ["src", "web/src", "web/style", "tests", "benchmarks", "cmake"];
const written = [/\/golden\//, /^tests\/engine\/said\//, /^tests\/fuzz\/corpus\//];
const text = /\.(cpp|cc|h|ts|tsx|mjs|css|svg|html|cmake|txt|sh)$/;

const files = [
    ...["CMakeLists.txt", "setup.sh", "start", "check", "web/build.mjs"],
    ...["web/index.html", "web/class.html", "web/instructor.html"],
    ...folders.flatMap((folder) =>
        readdirSync(join(source, folder), { recursive: true, withFileTypes: true })
            .filter((entry) => entry.isFile() && text.test(entry.name))
            .map((entry) => join(entry.parentPath ?? entry.path, entry.name).slice(source.length + 1)),
    ),
];
let mistakes = 0;
for (const file of files.filter((name) => !written.some((pattern) => pattern.test(name))))
    readFileSync(join(source, file), "utf8")
        .split("\n")
        .forEach((line, i) => {
            if ([...line].length <= longest) return;
            console.log(`${file}:${i + 1}: ${[...line].length} characters`);
            ++mistakes;
        });
console.log(`${files.length} files, ${mistakes} lines of more than ${longest} characters`);
process.exit(mistakes === 0 ? 0 : 1);
