/** Figures that nobody has stated and that a reading settles: what to measure, and the edits that write the answer
 *  into the bench file. A type of one's own is changed in place; a type of the catalogue gets one laid over it,
 *  of the same name (docs/part-files.md). */
import type { Edit, Finding } from "./answers";
import { text_of, type State } from "./state";

interface Asked {
    key: string;
    label: string;
    hint: string;
}
export interface Question {
    pin: string;
    what: string;
    how: string;
    fields: Asked[];
    edits: (values: Record<string, string>, by: string) => Edit[];
}

const measured = (by: string) => ({ source: by, certainty: "measured" });

interface Recipe {
    what: string;
    fields: Asked[];
    entry: (v: Record<string, string>, by: string) => Record<string, unknown>;
}
const recipes: Record<string, Recipe> = {
    "threshold-unknown": {
        what: "the voltages it reads as low and as high",
        fields: [
            // With hysteresis the input turns high at VT+ and low at VT-, below it: from VT+ on it is high whatever was
            // before, up to VT- it is low (JESD99 terms, from memory).
            {
                key: "high",
                label: "Surely read as high from",
                hint: "Raise the input slowly from 0 V: the voltage at which it turns high, 1.59 V",
            },
            {
                key: "low",
                label: "Surely read as low up to",
                hint: "Lower it slowly from its supply: the voltage at which it turns low, 0.91 V",
            },
            { key: "supply", label: "Supply while measuring", hint: "What the meter said: 4.9..5.1 V" },
        ],
        entry: (v, by) => ({ thresholds: [{ supply: v.supply, low: v.low, high: v.high, ...measured(by) }] }),
    },
    "rating-unknown": {
        what: "the most it stands",
        fields: [
            {
                key: "max",
                label: "Absolute maximum",
                hint: "Not by trying: from the maker or from the marking of the chip inside, 5.5 V or supply + 0.3 V",
            },
        ],
        entry: (v, by) => ({ max: v.max, ...measured(by) }),
    },
};

/** Edits that lay `entry` over a pin of the type of a part. */
function over_pin(s: State, part: string, pin: string, entry: Record<string, unknown>): Edit[] {
    const type = s.read?.bench.parts.find((p) => p.name === part)?.type ?? "";
    const quoted = type.replace(/[.*+?^${}()|[\]\\]/g, "\\$&");
    const own = new RegExp(`^\\s*\\[\\s*types\\s*\\.\\s*"?${quoted}"?\\s*[.\\]]`, "m").test(text_of(s));
    const keys = Object.entries(entry).map(([key, value]): Edit => ({
        do: "set",
        path: ["types", type, "pins", pin, key],
        value,
    }));
    return own ? keys : [{ do: "set", path: ["types", type, "like"], value: type }, ...keys];
}

export function measure_questions(s: State, findings: Finding[]): Question[] {
    const asked = new Map<string, Question>();
    for (const f of findings) {
        const recipe = recipes[f.code];
        if (f.verdict !== "unknown" || !recipe || !f.part || !f.pin) continue;
        const [part, pin] = [f.part, f.pin];
        const name = `${part}.${pin}`;
        asked.set(`${f.code} ${name}`, {
            pin: name,
            what: `${name}, ${recipe.what}`,
            how: f.advice,
            fields: recipe.fields,
            edits: (values, by) => over_pin(s, part, pin, recipe.entry(values, by)),
        });
    }
    return [...asked.values()];
}
