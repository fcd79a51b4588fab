/** Everything the page knows, in one value. The text of the bench is what counts; all else follows from it. */
import type {
    About,
    BenchFile,
    Build,
    Check,
    Drawings,
    FileRow,
    Plan,
    Problem,
    SheetPages,
    TraceStep,
} from "./answers";
import type { Diagnosis } from "./fault_answers";
import type { Found, PartType } from "./part_answers";
import type { Form } from "./forms";
import { begin, type History } from "./history";
import type { Region } from "./merge";
import { no_readings, type Readings } from "./readings";
import type { Route } from "./routes";

/** An answer of the engine and the text it was computed from. */
export interface Computed<T> {
    value: T | null;
    /** The text `value` belongs to. */
    of: string | null;
    running: boolean;
    /** 0 to 1 and what is being done, while it runs. */
    share: number;
    what: string;
    /** Why there is no answer, as the reader is told. */
    trouble: string;
}
export const nothing = <T>(): Computed<T> => ({
    value: null,
    of: null,
    running: false,
    share: 0,
    what: "",
    trouble: "",
});

export interface Doc {
    /** Relative to the opened folder; null: not saved yet. */
    path: string | null;
    /** What lies on the disk as far as the page knows; null: nothing. */
    base: { text: string; version: string } | null;
    saving: boolean;
}

/** Another hand has changed the file. */
export interface Conflict {
    theirs: BenchFile;
    base: string;
    regions: Region[];
}

export interface TraceWish {
    link: string;
    rate: number | null;
    samples: number;
}

/** A learner opens hints one by one: 0 none, 1 the question, 2 the reading, 3 the cause. */
export interface Hints {
    learner: boolean;
    depth: number;
}

export interface State {
    route: Route;
    about: About | null;
    files: FileRow[];
    doc: Doc | null;
    history: History;
    /** Text left over from a tab that ended without saving. */
    left: { path: string | null; text: string } | null;
    /** The same of a bench that never had a file; offered where one begins. */
    kept: string | null;
    conflict: Conflict | null;
    /** The file is gone from the disk. */
    gone: boolean;
    check: Computed<Check>;
    /** The last check that could read its text. */
    read: Check | null;
    plan: Computed<Plan>;
    drawings: Computed<Drawings>;
    build: Computed<Build>;
    trace: Computed<TraceStep> & { wish: TraceWish | null };
    sheets: Computed<SheetPages> & { audience: string; seats: number };
    fault: Computed<Diagnosis>;
    /** The last diagnosis that could read its readings. */
    known: Diagnosis | null;
    readings: Readings;
    /** The answer that waits to be read, or that could not be: then with what was wrong, and not among the readings. */
    tried: { line: string; problems: Problem[] } | null;
    hints: Hints;
    found: { words: string } & Found;
    /** By name; null: nothing has this name. */
    types: Record<string, PartType | null>;
    /** The pin from which a link is being joined. */
    joining: string | null;
    editing: boolean;
    /** The form that asked for a change last; null: none did since the text was opened. */
    form: Form | null;
    /** What went wrong or was done, for the line at the foot; `problems` of an edit that was refused. */
    notice: { words: string; bad: boolean } | null;
    online: boolean;
    theme: Theme;
    text_open: boolean;
    /** On the page of faults the boards are wanted as well. */
    boards_wanted: boolean;
    /** Where the text editor shall put its cursor: a line from 1, and a number that makes each wish new. */
    goto: { line: number; column: number; wish: number } | null;
}
export type Theme = "auto" | "light" | "dark";

export const initial: State = {
    route: { view: "start" },
    about: null,
    files: [],
    doc: null,
    history: begin(""),
    left: null,
    kept: null,
    conflict: null,
    gone: false,
    check: nothing(),
    read: null,
    plan: nothing(),
    drawings: nothing(),
    build: nothing(),
    trace: { ...nothing<TraceStep>(), wish: null },
    sheets: { ...nothing<SheetPages>(), audience: "build", seats: 1 },
    fault: nothing(),
    known: null,
    readings: no_readings,
    tried: null,
    hints: { learner: false, depth: 0 },
    found: { words: "", rows: [], traits: [] },
    types: {},
    joining: null,
    editing: false,
    form: null,
    notice: null,
    online: true,
    theme: "auto",
    text_open: true,
    boards_wanted: false,
    goto: null,
};

export const text_of = (s: State): string => s.history.present.text;
export const unsaved = (s: State): boolean => s.doc !== null && text_of(s) !== (s.doc.base?.text ?? "");
/** Whether an answer belongs to the text as it is now. */
export const current = (s: State, answer: { of: string | null }): boolean => answer.of === text_of(s);
