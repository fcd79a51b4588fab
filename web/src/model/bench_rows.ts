/** Rails, parts and links as lists show them: from the check where it could read the text, else from the outline,
 *  with what the last readable text told about the same names. */
import type { BenchPart, Candidate, Finding, JudgedLink, Link, Rail, Verdict } from "./answers";
import type { PartPin } from "./part_answers";
import { outline } from "./outline";
import { current, text_of, type State } from "./state";
import { level, quantity } from "./words";

export interface RailRow {
    name: string;
    line: number;
    rail: Rail | null;
    volts: number | null;
}
export interface PartRowOfBench {
    name: string;
    type: string;
    line: number;
    part: BenchPart | null;
}
export interface LinkRow {
    name: string;
    line: number;
    link: Link | null;
    from: string;
    to: string;
    judged: JudgedLink | null;
    decides: Finding | null;
    planned: { title: string; verdict: Verdict } | null;
}
export interface Rows {
    rails: RailRow[];
    parts: PartRowOfBench[];
    links: LinkRow[];
    readable: boolean;
}

const ends = (pins: { part: string; pin: string }[]): string => pins.map((p) => `${p.part}.${p.pin}`).join(", ");

/** The finding that decides the verdict of a link; null: nothing is wrong. */
export function deciding(findings: Finding[], judged: JudgedLink): Finding | null {
    if (judged.verdict === "safe") return null;
    return judged.findings.map((i) => findings[i]!).find((f) => f.verdict === judged.verdict) ?? null;
}

export interface Crossing {
    link: string;
    chosen: Candidate | null;
    rejected: Candidate[];
}

/** What the plan says of a link: one crossing, or one to each rail that a bus comes to ("bus data to rail usb"). */
export function crossings(s: State, link: string): Crossing[] {
    const all = s.plan.value?.accepted ? s.plan.value.links : [];
    const own = all.filter((c) => c.link === link);
    return own.length > 0 ? own : all.filter((c) => c.link.startsWith(`${link} to rail `));
}

function link_row(s: State, name: string, line: number, link: Link | null, from: string, to: string): LinkRow {
    const judgement = s.read?.judgement;
    const judged = judgement?.links.find((l) => l.link === name) ?? null;
    const chosen = current(s, s.plan) ? crossings(s, name).flatMap((c) => c.chosen ?? []) : [];
    const after = s.plan.value?.judgement?.links.find((l) => l.link === name)?.verdict;
    return {
        name,
        line,
        link,
        from,
        to,
        judged,
        decides: judged && judgement ? deciding(judgement.findings, judged) : null,
        planned: chosen[0]
            ? { title: chosen.map((c) => c.title).join("; "), verdict: after ?? chosen[0].verdict }
            : null,
    };
}

export function rows(s: State): Rows {
    const bench = s.read?.bench;
    if (bench && (s.check.value?.accepted ?? true)) {
        return {
            readable: true,
            rails: bench.rails
                .map((rail) => ({ name: rail.name, line: rail.place.line, rail, volts: rail.volts.nominal }))
                .sort(by_volts),
            parts: bench.parts.map((part) => ({ name: part.name, type: part.type, line: part.place.line, part })),
            links: bench.links.map((l) => link_row(s, l.name, l.place.line, l, ends(l.from), ends(l.to))),
        };
    }
    const seen = outline(text_of(s));
    const rail_of = (name: string) => bench?.rails.find((r) => r.name === name) ?? null;
    return {
        readable: false,
        rails: seen.rails
            .map(({ name, line }) => ({ name, line, rail: rail_of(name), volts: rail_of(name)?.volts.nominal ?? null }))
            .sort(by_volts),
        parts: seen.parts.map(({ name, line, type }) => ({
            name,
            type,
            line,
            part: bench?.parts.find((p) => p.name === name) ?? null,
        })),
        links: seen.links.map((l) =>
            link_row(s, l.name, l.line, bench?.links.find((k) => k.name === l.name) ?? null, l.from, l.to),
        ),
    };
}

function by_volts(a: RailRow, b: RailRow): number {
    return (b.volts ?? -1) - (a.volts ?? -1);
}

export interface PinRow {
    name: string;
    part: string;
    pin: string;
    role: string;
    what: string;
    links: string[];
}

const roles: Record<string, string> = {
    input: "input",
    "push-pull": "push-pull output",
    "three-state": "three-state output",
    "open-drain": "open-drain output",
    "open-source": "open-source output",
    io: "input or output",
    "open-drain io": "open-drain, both ways",
    "analog input": "analogue input",
    "analog output": "analogue output",
    load: "load",
    passive: "passive",
};

/** What a pin is, in one line for somebody who chooses one. */
export function pin_words(pin: PartPin): string {
    const said = [roles[pin.role] ?? pin.role];
    if (pin.supply) said.push(`on ${pin.supply}`);
    const row = pin.thresholds?.[0];
    if (row?.high) said.push(`reads high from ${level(row.high)}`);
    if (pin.max) said.push(`stands ${level(pin.max)}`);
    const pulls = pin.pulls as { to: string; ohms: { nominal: number | null; unit: string } }[] | undefined;
    for (const pull of pulls ?? [])
        said.push(`${quantity({ value: pull.ohms.nominal, unit: pull.ohms.unit })} to ${pull.to} inside`);
    return said.join(", ");
}

/** Pins that a link may join, of every part on the bench. */
export function joinable(s: State, all: Rows): PinRow[] {
    return all.parts.flatMap(({ name: part, type }) =>
        (s.types[type]?.pins ?? [])
            .filter((p) => p.role in roles)
            .map((p) => {
                const name = `${part}.${p.name}`;
                const links = all.links
                    .filter((l) => `${l.from}, ${l.to}`.split(", ").includes(name))
                    .map((l) => l.name);
                return { name, part, pin: p.name, role: p.role, what: pin_words(p), links };
            }),
    );
}

/** A name that no rail, part or link has yet. */
export function free_name(wanted: string, taken: string[]): string {
    if (!taken.includes(wanted)) return wanted;
    let n = 2;
    while (taken.includes(`${wanted} ${n}`) || taken.includes(`${wanted}-${n}`)) ++n;
    return `${wanted}${wanted.includes(" ") ? " " : "-"}${n}`;
}
