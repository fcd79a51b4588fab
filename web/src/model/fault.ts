/** What the page of faults shows, from the readings and from what the engine answered to them. */
import type { Problem } from "./answers";
import type { Diagnosis, GivenReading, NextReading } from "./fault_answers";
import { blocks_of, type Readings } from "./readings";
import { text_of, type State } from "./state";

/** What an answer about the fault is computed from. */
export const asked_of = (s: State): string => JSON.stringify([text_of(s), s.readings]);
export const fault_current = (s: State): boolean => s.fault.of === asked_of(s);

/** Whether the page says what may be wrong: a learner who searches hears it with the last hint. */
export const cause_told = (s: State): boolean => !s.hints.learner || s.hints.depth >= 3;

/** What the engine calls the lines that are entered here. */
export const of_lines = "--reading";

export interface Entry {
    words: string;
    /** Where it can be changed: a line entered here, or a line of the file's text. */
    line: number | null;
    row: number | null;
    /** As it was entered; null: in the file. */
    entered: string | null;
    unexplained: boolean;
    problems: Problem[];
}

const entry_of = (r: Readings, given: GivenReading): Entry => {
    const entered = given.place?.file === of_lines;
    const at = (given.place?.line ?? 1) - 1;
    return {
        words: given.words,
        line: entered ? at : null,
        row: entered ? null : at + 1,
        entered: entered ? (r.lines[at] ?? null) : null,
        unexplained: given.unexplained,
        problems: [],
    };
};

/** The readings in order: as the engine words them where its answer is of these readings, else as they were entered. */
export function entries(s: State): Entry[] {
    const answer = s.fault.value;
    if (answer?.accepted && fault_current(s)) return answer.readings.map((given) => entry_of(s.readings, given));
    const mistakes = fault_current(s) ? (answer?.problems ?? []).filter((p) => p.place?.file === of_lines) : [];
    return [
        ...blocks_of(s.readings.text).map(({ row, words }): Entry => ({
            words,
            line: null,
            row,
            entered: null,
            unexplained: false,
            problems: [],
        })),
        ...s.readings.lines.map((entered, i): Entry => ({
            words: entered,
            line: i,
            row: null,
            entered,
            unexplained: false,
            problems: mistakes.filter((p) => p.place?.line === i + 1),
        })),
    ];
}

/** How one answers: by a word alone, or by a number with its unit, or by a word in its place; of a look also by what is
 *  seen. */
export interface AnswerForm {
    words: string[];
    units: string[];
    sights: string[];
}
export function answer_form(next: NextReading): AnswerForm {
    if (next.means === "eye") return { words: ["as planned", "not as planned"], units: [], sights: next.sights };
    if (next.means === "voltmeter") return { words: ["drifts"], units: ["V", "mV"], sights: [] };
    if (next.means === "ohmmeter") return { words: ["open"], units: ["Ω", "kΩ", "MΩ"], sights: [] };
    const yes_no = next.means === "behaviour" || next.answers.includes('"yes"');
    return yes_no
        ? { words: ["yes", "no"], units: [], sights: [] }
        : { words: [], units: ["ns", "µs", "ms"], sights: [] };
}

/** "3,28" and "V" as "3.28 V"; what has a unit or more already stays as it was typed. */
export function with_unit(typed: string, unit: string): string {
    const plain = typed.trim().replace(",", ".");
    return /^[-+]?\d*\.?\d+$/.test(plain) ? `${plain} ${unit}` : typed.trim();
}

export const line_of = (next: NextReading, answer: string): string => `${next.line.before}${answer}${next.line.after}`;

/** What was wrong with the last answer to this question; the same array as long as it is the same answer. */
export function not_taken(s: State, next: NextReading): Problem[] {
    const { before, after } = next.line;
    const { line, problems } = s.tried ?? { line: "", problems: [] };
    return line.startsWith(before) && line.endsWith(after) ? problems : none;
}
const none: Problem[] = [];

/** Pins by number in what is to be read: "U1.18 to U1.20 = " has two. */
export function pins_asked(before: string): { part: string; pin: string }[] {
    return [...before.matchAll(/(?:^| to )(\S+)\.(\d+)(?= |$)/g)].map((m) => ({ part: m[1]!, pin: m[2]! }));
}
/** Parts whose pins are read by number, or a part that is looked at; each once. */
export function parts_asked(before: string): string[] {
    const looked = /^([^ .]+) = /.exec(before)?.[1];
    return [...new Set([...pins_asked(before).map((p) => p.part), ...(looked ? [looked] : [])])];
}
/** What a look is at: "wire 12", "U1 and its wires". */
export const looked_at = (before: string): string =>
    before
        .replace(/ = $/, "")
        .replace(/^around (.+)$/, "$1 and its wires")
        .replace(/^wires of /, "the wires of ");
/** The wire that is to be looked at; null: none. */
export const wire_asked = (before: string): number | null =>
    Number(/^wire (\d+)/.exec(before)?.[1] ?? Number.NaN) || null;

export const means_words: Record<NextReading["means"], string> = {
    eye: "by eye",
    ohmmeter: "meter, power off",
    voltmeter: "meter, power on",
    scope: "scope, power on",
    behaviour: "watch what it does",
};

/** Bits as what is left to suspect: 1 bit leaves half of it. */
export function gain_words({ bits, effort }: { bits: number; effort: number }): string {
    const left = Math.round(100 * 2 ** -bits);
    const cost =
        effort === 1 ? "about as long as a look" : `about ${Number(effort.toFixed(1))} times as long as a look`;
    return `Of 100 causes that are as likely as each other, about ${left} are left after it. It takes ${cost}`;
}

export function share_words(share: number): string {
    if (share > 0 && share < 0.01) return "under 1 %";
    return share > 0.99 && share < 1 ? "over 99 %" : `${Math.round(100 * share)} %`;
}
/** Tenths as squares: one at least from 1 % on, none for what is called "under 1 %". */
export function share_bar(share: number): string {
    const full = share < 0.01 ? 0 : Math.min(Math.max(Math.round(10 * share), 1), 10);
    return "■".repeat(full) + "□".repeat(10 - full);
}

/** What a link may be seen to do, and what each speaks against. */
export const link_behaviours = [
    "works",
    "fails",
    "works when touched",
    "looks clean on an analyser but fails",
    "works alone, fails while others talk",
    "fine slowly, garbage fast",
];
export const against = (behaviour: string): string[] => (behaviour === "works" ? link_behaviours.slice(1) : ["works"]);

/** What of this was ticked, as the lines have it. */
export const behaviours_said = (r: Readings, links: string[], parts: string[]): string[] => {
    const all = [
        ...links.flatMap((link) => link_behaviours.map((b) => `${link} ${b}`)),
        ...parts.map((part) => `${part} gets hot`),
        "nothing works",
    ];
    return r.lines.filter((line) => all.includes(line));
};

/** What was not understood, but for lines entered here, which show it themselves. */
export const mistakes_elsewhere = (d: Diagnosis): Problem[] =>
    d.accepted ? [] : d.problems.filter((p) => p.place?.file !== of_lines);
