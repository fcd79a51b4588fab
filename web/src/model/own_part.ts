/** A module that the catalogue does not have, described by the few things one knows of it (docs/part-files.md). */
import type { Edit } from "./answers";

export interface OwnPart {
    name: string;
    range: string;
    rail: string;
    pin: string;
    /** A trait of the catalogue: how the pin behaves. */
    like: string;
}

export const own_type = (name: string): string => `${name}-module`;

/** A type of its own in the file, and a part of it. */
export function own_part_edits(own: OwnPart): Edit[] {
    const type = own_type(own.name);
    const entry = (path: string[], value: unknown): Edit => ({ do: "set", path: ["types", type, ...path], value });
    return [
        { do: "add-part", name: own.name, entries: { type, ...(own.rail && { supply: own.rail }) } },
        entry(["title"], own.name),
        entry(["source"], "described by its owner, not measured"),
        entry(["certainty"], "assumed"),
        entry(["supplies", "VCC"], { range: own.range }),
        entry(["pins", own.pin], { like: own.like }),
        entry(["pins", "GND"], { is: "ground" }),
    ];
}

/** Words that ask for a supply, which is a rail and no part ("12 V", "5 V supply", "battery 9V"): its volts or null. */
export function supply_asked(words: string): string | null {
    const volts = /(\d+(?:\.\d+)?)\s*v\b/i.exec(words);
    const rest = words
        .replace(volts?.[0] ?? "", " ")
        .toLowerCase()
        .split(/\s+/)
        .filter(Boolean);
    const supply = /^(supply|supplies|power|source|battery|adapter|adaptor|rail|bench|plug|wall)$/;
    if (!rest.every((w) => supply.test(w)) || (!volts && rest.length === 0)) return null;
    return volts ? `${volts[1]} V` : "";
}
