/** Everything that can happen to the state. */
import type { About, BenchFile, Build, Check, Drawings, Edit, FileRow, Plan, SheetPages, TraceStep } from "./answers";
import type { Diagnosis } from "./fault_answers";
import type { Found, PartType } from "./part_answers";
import type { Said } from "./forms";
import type { Selection } from "./history";
import type { Choice } from "./merge";
import type { ReadingsChange } from "./readings";
import type { Route } from "./routes";
import type { Theme, TraceWish } from "./state";

/** The answers that are computed from the text, by the name they have in the state. */
export interface Answers {
    check: Check;
    plan: Plan;
    drawings: Drawings;
    build: Build;
    trace: TraceStep;
    sheets: SheetPages;
    fault: Diagnosis;
}
export type AnswerName = keyof Answers;

/** Where a bench comes from. */
export type Source = { path: string } | { example: string } | { empty: true } | { kept: string };

export type Action =
    | { do: "go"; route: Route }
    | { do: "about"; about: About }
    | { do: "files"; files: FileRow[] }
    | { do: "load"; from: Source }
    | { do: "open"; file: BenchFile; path: string | null; left: string | null }
    /** A text without a file that an earlier tab left behind. */
    | { do: "kept"; text: string }
    | { do: "take-left" }
    | { do: "drop-left" }
    /** The text became another, by a hand in the editor or by an edit. */
    | { do: "text"; text: string; selection: Selection; word: string; at: number }
    | { do: "select"; selection: Selection }
    | { do: "undo" }
    | { do: "redo" }
    /** A person acts: the server is asked to write the edits into the text. */
    /** With a `form` it is written only if the text can be read afterwards; else the form is told why not. */
    | { do: "edit"; edits: Edit[]; word: string; form?: string }
    | { do: "edit-refused"; words: string }
    | { do: "form-refused"; form: string; said: Said[] }
    | { do: "form-taken"; form: string }
    | { do: "edit-done" }
    | { [N in AnswerName]: { do: "answer"; name: N; of: string; value: Answers[N]; done: boolean } }[AnswerName]
    | { do: "asked"; name: AnswerName }
    | { do: "progress"; name: AnswerName; share: number; what: string }
    | { do: "ended"; name: AnswerName; trouble: string }
    | { do: "trace"; wish: TraceWish }
    | { do: "stop-trace" }
    | { do: "sheets"; audience: string; seats: number }
    | { do: "save-pdf"; sheet: string }
    | { do: "save-readings"; text: string }
    | { do: "readings"; change: ReadingsChange }
    | { do: "hints"; learner: boolean; depth: number }
    | { do: "want-boards" }
    | { do: "save"; path: string | null }
    | { do: "saved"; path: string; text: string; version: string }
    | { do: "save-failed"; words: string }
    | { do: "conflict"; theirs: BenchFile }
    | { do: "choose"; at: number; choice: Choice }
    | { do: "take-merge" }
    | { do: "disk"; file: BenchFile }
    | { do: "gone" }
    | { do: "find"; words: string }
    | ({ do: "found"; words: string } & Found)
    | { do: "type"; name: string; type: PartType | null }
    | { do: "want-type"; name: string }
    | { do: "join-from"; pin: string | null }
    | { do: "notice"; words: string; bad: boolean }
    | { do: "hush" }
    | { do: "online"; online: boolean }
    | { do: "theme"; theme: Theme }
    | { do: "text-open"; open: boolean }
    | { do: "goto"; line: number; column: number };

export type Dispatch = (action: Action) => void;
