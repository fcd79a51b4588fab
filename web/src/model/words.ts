/** Numbers and verdicts as a reader wants them. */
import type { Quantity, Span, Verdict } from "./answers";
import type { Level } from "./part_answers";

export const signs: Record<Verdict, string> = { safe: "✓", thin: "~", unknown: "?", unreadable: "≠", harmful: "✗" };

const symbols: Record<string, string> = {
    volt: "V",
    ampere: "A",
    ohm: "Ω",
    siemens: "S",
    farad: "F",
    second: "s",
    hertz: "Hz",
    watt: "W",
    "second per volt": "s/V",
    "degree Celsius": "°C",
    one: "",
};
const prefixes: [number, string][] = [
    [1e9, "G"],
    [1e6, "M"],
    [1e3, "k"],
    [1, ""],
    [1e-3, "m"],
    [1e-6, "µ"],
    [1e-9, "n"],
    [1e-12, "p"],
];

const digits = (value: number): string => String(Number(value.toPrecision(3)));

/** "4.7 kΩ", with three digits; "-" where nothing is known. */
export function quantity(q: Quantity | null | undefined): string {
    if (!q || q.value === null) return "-";
    const unit = symbols[q.unit] ?? q.unit;
    if (unit === "" || unit === "°C") return `${digits(q.value)} ${unit}`.trim();
    const size = Math.abs(Number(q.value.toPrecision(3)));
    if (size === 0) return `0 ${unit}`;
    const [factor, prefix] = prefixes.find(([f]) => size >= f) ?? prefixes.at(-1)!;
    return `${digits(q.value / factor)} ${prefix}${unit}`;
}

export function span(s: Span | null | undefined): string {
    if (!s) return "-";
    const ends = [s.lo, s.hi].map((value) => quantity({ value, unit: s.unit }));
    return ends[0] === ends[1]
        ? ends[0]!
        : ends[0] === "-"
          ? `up to ${ends[1]}`
          : ends[1] === "-"
            ? `${ends[0]} or more`
            : `${ends[0]} to ${ends[1]}`;
}

export function level(l: Level | null | undefined): string {
    if (!l) return "-";
    const offset = l.offset.value ?? 0;
    if (l.ratio === 0) return quantity(l.offset);
    const supply = l.ratio === 1 ? "supply" : `${digits(l.ratio)} supply`;
    if (offset === 0) return supply;
    return `${supply} ${offset < 0 ? "-" : "+"} ${quantity({ value: Math.abs(offset), unit: "volt" })}`;
}

/** With a capital letter, as a sentence begins. */
export const begun = (words: string): string => words.slice(0, 1).toUpperCase() + words.slice(1);

/** A count with its noun: "1 link", "2 links". */
export const count = (n: number, noun: string): string => `${n} ${noun}${n === 1 ? "" : "s"}`;

/** Where a number comes from, in one line. */
export function origin(o: { certainty: string; source: string; from_memory: boolean }): string {
    const said =
        o.source === "" || o.source.startsWith(o.certainty) ? o.source || o.certainty : `${o.certainty}: ${o.source}`;
    return o.from_memory ? `${said} (from memory)` : said;
}

/** How far up the scale from 0 V to 36 V a voltage stands, in ratios, as in the drawings. */
export function volts_share(volts: number): number {
    const [knee, top] = [0.9, 36];
    return Math.log1p(Math.min(Math.max(volts, 0), top) / knee) / Math.log1p(top / knee);
}
