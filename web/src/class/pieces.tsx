/** What a learner does becomes a piece of the queue. */
import { name_of_its_own } from "../hall/queue";
import type { Dispatch } from "./reducer";

export const tick = (dispatch: Dispatch, step: number, done: boolean) =>
    dispatch({
        do: "piece",
        piece: { once: name_of_its_own(), kind: "tick", about: String(step), body: { step, done } },
    });
export const enter = (dispatch: Dispatch, check: string, value: string) =>
    dispatch({
        do: "piece",
        piece: { once: name_of_its_own(), kind: "reading", about: check, body: { check, value } },
    });
export const ask_for_help = (dispatch: Dispatch, wanted: boolean, about: string) =>
    dispatch({ do: "piece", piece: { once: name_of_its_own(), kind: "help", about: "", body: { wanted, about } } });
export const submit = (dispatch: Dispatch, wires: string) =>
    dispatch({ do: "piece", piece: { once: name_of_its_own(), kind: "submit", about: "", body: { wires } } });
