/** What a part that is put on a bench is joined to: rails that fit its supplies, and rails that it makes. */
import type { Edit } from "./answers";
import type { PartType } from "./part_answers";
import { free_name, type Rows } from "./bench_rows";
import type { State } from "./state";

/** Ports of parts on this bench that make a voltage themselves. */
export function feeders(s: State, all: Rows): string[] {
    return all.parts.flatMap(({ name, type }) =>
        (s.types[type]?.supplies ?? []).filter((p) => p.provides).map((p) => `${name}.${p.name}`),
    );
}

/** Rails whose voltage lies in what a supply is made for; a rail that is alone on the bench will be meant. */
export function fitting(type: PartType, all: Rows): Record<string, string> {
    const fits = (p: PartType["supplies"][0]) =>
        all.rails.find(
            (r) =>
                r.rail &&
                r.rail.volts.lo! >= (p.range.lo ?? -Infinity) - 1e-9 &&
                r.rail.volts.hi! <= (p.range.hi ?? Infinity) + 1e-9,
        );
    const alone = all.rails.length === 1 && !all.rails[0]!.rail ? all.rails[0]!.name : "";
    return Object.fromEntries(type.supplies.map((p) => [p.name, fits(p)?.name ?? alone]));
}

export function supply_entries(type: PartType, chosen: Record<string, string>): Record<string, unknown> {
    const given = type.supplies
        .filter((p) => !p.provides && chosen[p.name])
        .map((p) => [p.name, chosen[p.name]!] as const);
    if (given.length === 0) return {};
    const ports = type.supplies.filter((p) => !p.provides).length;
    return ports === 1 ? { supply: given[0]![1] } : { supplies: Object.fromEntries(given) };
}

/** Supplies that the type makes itself, and the rails to be made of them, with names nobody has. */
export function made_rails(type: PartType, all: Rows): Record<string, string> {
    const taken = all.rails.map((r) => r.name);
    return Object.fromEntries(
        type.supplies.filter((p) => p.provides).map((p) => [p.name, free_name(p.name.toLowerCase(), taken)]),
    );
}

export function rail_edits(type: PartType, part: string, made: Record<string, string>): Edit[] {
    const volts = (v: number | null) => String(Number((v ?? 0).toPrecision(6)));
    return type.supplies
        .filter((p) => p.provides && made[p.name])
        .map((p): Edit => ({
            do: "add-rail",
            name: made[p.name]!,
            entries: { volts: `${volts(p.provides!.lo)}..${volts(p.provides!.hi)} V`, from: `${part}.${p.name}` },
        }));
}

export const short_name = (type: PartType): string =>
    (type.name.replace(/^\d+$/, "part").split(/[\s,]+/)[0] ?? "part").toLowerCase().replace(/[^a-z0-9_-]/g, "") ||
    "part";
