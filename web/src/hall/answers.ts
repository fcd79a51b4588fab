/** What the hall of a class answers (docs/hall.md, docs/openapi.json), as far as its pages read it. */
import type { Verdict } from "../model/answers";

export interface PlannedWire {
    number: number;
    from: string;
    to: string;
    colour: string;
}
export interface Step {
    id: number;
    text: string;
    more: string;
    wire: PlannedWire | null;
}
export interface Phase {
    title: string;
    about: string;
    link: string | null;
    check: string | null;
    steps: Step[];
}

export type CheckKind = "ohms" | "volts" | "amps" | "level";
/** `meter`: what the error of a hand-held meter may add, in words. */
export interface Check {
    id: string;
    gate: number;
    kind: CheckKind;
    unit: string;
    what: string;
    link: string | null;
    meter: string;
}
export interface Gate {
    gate: number;
    title: string;
    passed_by: "instructor" | "readings";
    checks: Check[];
}

export interface Lesson {
    title: string;
    version: string;
    steps: number;
    phases: Phase[];
    gates: Gate[];
    boards: string[];
    /** Names a wire may end at. */
    ends: string[];
}

export interface Entered {
    entered: string;
    right: boolean;
    tries: number;
    hints: number;
}
export interface Mistake {
    kind: string;
    words: string;
    remedy: string;
    harm: Verdict;
    sentence: string;
    links: string[];
    wires: number[];
    gate: number;
}
export interface Criterion {
    id: string;
    words: string;
    points: number;
    of: number;
    open: boolean;
    reasons: string[];
}
export interface Problem {
    message: string;
    expected: string;
}
/** A build that was handed in. What it says of mistakes and marks is empty until the instructor shows it. */
export interface Build {
    accepted: boolean;
    problems: Problem[];
    wires: number;
    harm: Verdict | null;
    stop: string | null;
    released: boolean;
    as_planned: boolean | null;
    mistakes: Mistake[];
    links: string[];
    criteria: Criterion[];
    points: number | null;
    of: number | null;
    open: number | null;
}

/** The learner's own state. Times are seconds since 1970. */
export interface Me {
    nickname: string;
    /** The first that is not passed; 5: all are. */
    gate: number;
    passed: (number | null)[];
    /** Every reading of gate 1 or 2 is right: the instructor is to come. */
    waiting: boolean;
    ticked: number[];
    checks: Record<string, Entered>;
    /** What help is wanted about; null: none is. */
    help: string | null;
    danger: string | null;
    build: Build | null;
    /** The deepest hint that may be asked for, 0 to 3. */
    hints_open: number;
    marks_open: boolean;
}

export interface Who {
    role: "nobody" | "learner" | "instructor";
    token: string | null;
    secure: boolean;
}

/** A learner as the room shows them. */
export interface Row {
    id: number;
    nickname: string;
    here: boolean;
    removed: boolean;
    gate: number;
    waiting: boolean;
    ticked: number;
    next: string | null;
    right: number;
    wrong: number;
    tries: number;
    hints: number;
    help: { about: string; since: number } | null;
    danger: string | null;
    builds: number;
    points: number | null;
    of: number | null;
    joined: number;
    last: number;
}
export interface Room {
    title: string;
    bench: string;
    version: string;
    begun: number;
    kept_until: number;
    code: string | null;
    code_until: number | null;
    address: string;
    warning: string | null;
    /** No other machine reaches the address: no phone can join. */
    here_alone: boolean;
    steps: number;
    checks: number;
    hints_open: number;
    marks_open: boolean;
    learners: Row[];
    /** Share of the diagnosis that is made, 0 to 1; null: there is nothing to wait for. */
    diagnosis: number | null;
}
export interface FullCheck extends Check {
    expected: string;
    wrong: string;
    entered: string | null;
    right: boolean | null;
    tries: number;
    hints: number;
}
/** Minutes spent in a phase of the time plan; `gate` ends it. */
export interface Spent {
    phase: string;
    gate: number;
    minutes: number;
}
export interface InFull {
    row: Row;
    learner: Me;
    checks: FullCheck[];
    build: Build | null;
    minutes: Spent[];
}

interface Count {
    name: string;
    learners: number;
}
export interface Summary {
    learners: number;
    handed_in: number;
    without_mistake: number;
    harmful: number;
    mistakes: { words: string; kind: string; learners: number; harm: Verdict; links: string[]; gate: number }[];
    kinds: Count[];
    links: Count[];
    gates: { gate: number; title: string; passed: number; waiting: number }[];
    /** The time plan: minutes as planned, of this class (median of who passed), as corrected by the logs of classes. */
    minutes: {
        phase: string;
        words: string;
        planned: number;
        learners: number;
        minutes: number | null;
        logs: number;
        next: number;
    }[];
    checks: {
        id: string;
        what: string;
        gate: number;
        link: string | null;
        entered: number;
        right: number;
        wrong: number;
        hints: number;
    }[];
}

export const gate_titles = ["Power off", "Limited power", "Static levels", "Function"];
export const gate_title = (gate: number): string => gate_titles[gate - 1] ?? "All gates passed";
