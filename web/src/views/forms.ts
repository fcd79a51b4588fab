/** What the dialogs share that add or change something of a bench. */
import type { Dispatch } from "../model/actions";
import type { Rows } from "../model/bench_rows";
import type { State } from "../model/state";

export interface FormProps {
    s: State;
    dispatch: Dispatch;
    all: Rows;
    close: () => void;
}

/** For a form that the page reads itself. */
export const submitting = (act: () => void) => (e: Event) => {
    e.preventDefault();
    act();
};
