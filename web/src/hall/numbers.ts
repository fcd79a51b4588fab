/** What a learner types beside a meter, read kindly and sent in one form: "3,28" is 3.28 V, "20m" is 20 mV, "4k7" is
 *  4.7 kΩ. The letter for the point is that of IEC 60062; whether the reading is right is the server's to say. */
import type { CheckKind } from "./answers";

export type Typed = { send: string } | { trouble: string };

const units: Record<Exclude<CheckKind, "level">, { sign: string; words: RegExp; name: string; such_as: string }> = {
    volts: { sign: "V", words: /^(v|volts?)$/i, name: "volts", such_as: "3.28 V" },
    amps: { sign: "A", words: /^(a|amps?|amperes?)$/i, name: "amperes", such_as: "20 mA" },
    ohms: { sign: "Ω", words: /^(ω|r|ohms?)$/i, name: "ohms", such_as: "4.7 kΩ" },
};
const prefixes: Record<string, string> = { "": "", n: "n", u: "µ", µ: "µ", m: "m", k: "k", K: "k", M: "M", G: "G" };
const high = /^(1|h|hi|high|on)$/;
const low = /^(0|l|lo|low|off)$/;
const open = /^(open|ol|o\.l\.?|0l|0\.l|∞|infinite)$/;
const drifts = /^(drifts?|drifting|floats?|floating)$/;

/** One way to write each sign that keyboards have several of. */
function plain(typed: string): string {
    const text = typed
        .replace(/[\u00a0\u2009\u202f]/g, " ")
        .replace(/[−–]/g, "-")
        .replace(/\u03bc/g, "µ")
        .replace(/\u2126/g, "Ω")
        .trim();
    return text.replace(/^([+-]?\d*),(\d+)/, "$1.$2");
}

/** "4k7", "3V3", "2R2": the letter stands for the point; null: it is not written so. */
function by_letter(text: string, kind: Exclude<CheckKind, "level">): string | null {
    const found = /^([+-]?)(\d+)([a-zA-ZΩµ])(\d+)$/.exec(text);
    if (!found) return null;
    const [, sign, whole, letter, rest] = found;
    const is_unit = units[kind].words.test(letter!);
    const prefix = is_unit ? "" : prefixes[letter!];
    return prefix === undefined ? null : `${sign}${whole}.${rest} ${prefix}${units[kind].sign}`;
}

function number(kind: Exclude<CheckKind, "level">, text: string): Typed {
    const unit = units[kind];
    const letters = by_letter(text, kind);
    if (letters) return { send: letters };
    const found = /^([+-]?(?:\d+(?:\.\d*)?|\.\d+))\s*(.*)$/.exec(text);
    if (!found)
        return {
            trouble: `Write the number the meter shows, such as ${unit.such_as}.`,
        };
    const value = found[1]!.replace(/^([+-]?)\./, (_, sign: string) => `${sign}0.`).replace(/\.$/, "");
    const rest = found[2]!.trim();
    if (rest === "")
        return kind === "amps" ? { trouble: "Say mA or A: a meter shows both." } : { send: `${value} ${unit.sign}` };
    for (const size of [0, 1]) {
        const prefix = prefixes[rest.slice(0, size)];
        const after = rest.slice(size).trim();
        if (prefix === undefined || !(unit.words.test(after) || (size === 1 && after === ""))) continue;
        // Nobody has a megavolt on a bench: a keyboard has made the letter large.
        return { send: `${value} ${prefix === "M" && kind !== "ohms" ? "m" : prefix}${unit.sign}` };
    }
    return { trouble: `"${rest}" is not a unit of ${unit.name}.` };
}

export function read_entry(kind: CheckKind, typed: string): Typed {
    const text = plain(typed);
    const word = text.toLowerCase();
    if (word === "") return { trouble: "Nothing is written yet." };
    if (kind === "level")
        return high.test(word)
            ? { send: "high" }
            : low.test(word)
              ? { send: "low" }
              : { trouble: "Write high or low." };
    if (kind === "ohms" && open.test(word)) return { send: "open" };
    if (kind === "volts" && drifts.test(word)) return { send: "drifts" };
    return number(kind, text);
}
