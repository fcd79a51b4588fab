/** Holds the state; tells views of it and lets effects follow what happened. */
import type { Action, Dispatch } from "../model/actions";
import { reduce } from "../model/reducer";
import { initial, type State } from "../model/state";

/** What follows from an action: requests, timers, storage. It sees the state before and after. */
export type Effect = (action: Action, before: State, after: State) => void;

export class Store {
    state: State = initial;
    private effects: Effect[] = [];
    private drawing = false;

    constructor(private readonly draw: (state: State, dispatch: Dispatch) => void) {}

    add(...effects: Effect[]) {
        this.effects.push(...effects);
    }

    dispatch: Dispatch = (action) => {
        const before = this.state;
        this.state = reduce(before, action);
        if (this.state !== before && !this.drawing) {
            this.drawing = true;
            queueMicrotask(() => {
                this.drawing = false;
                this.draw(this.state, this.dispatch);
            });
        }
        const after = this.state;
        for (const effect of this.effects) effect(action, before, after);
    };
}

/** One timer that starts again with every call. */
export function later(milliseconds: number): { start: (then: () => void) => void; stop: () => void } {
    let timer: ReturnType<typeof setTimeout> | undefined;
    const stop = () => clearTimeout(timer);
    return {
        stop,
        start: (then) => {
            stop();
            timer = setTimeout(then, milliseconds);
        },
    };
}
