/** A module that the catalogue does not have, described by the few things one knows of it (docs/part-files.md). */
import type { Edit } from "./answers";

export interface OwnPart {
    name: string;
    range: string;
    rail: string;
    /** Signal pins; its supply and its ground are there anyway. */
    pins: OwnPin[];
}
export interface OwnPin {
    name: string;
    /** A trait of the catalogue: how the pin behaves. */
    like: string;
}

/** Why a pin cannot be called so, by its place among the pins; "": it can. */
export function pin_trouble(pins: OwnPin[], at: number): string {
    const name = pins[at]!.name.trim();
    if (name === "") return "";
    if (/^(vcc|gnd)$/i.test(name)) return `${name.toUpperCase()} is there anyway, as its supply pin or its ground.`;
    const first = pins.findIndex((p) => p.name.trim().toLowerCase() === name.toLowerCase());
    return first < at ? `Pin ${first + 1} has this name already.` : "";
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
        ...own.pins.map((pin) => entry(["pins", pin.name.trim()], { like: pin.like })),
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
