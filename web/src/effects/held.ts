/** One value that holds all a page knows, changed by a pure function; views draw it, effects follow what happened. */

/** What follows from an action: requests, timers, storage. It sees the state before and after. */
export type Following<S, A> = (action: A, before: S, after: S) => void;

export class Held<S, A> {
    private effects: Following<S, A>[] = [];
    private drawing = false;

    constructor(
        private readonly reduce: (state: S, action: A) => S,
        public state: S,
        private readonly draw: (state: S, dispatch: (action: A) => void) => void,
    ) {}

    add(...effects: Following<S, A>[]) {
        this.effects.push(...effects);
    }

    dispatch = (action: A): void => {
        const before = this.state;
        this.state = this.reduce(before, action);
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

/** After so long, or as soon as it is cancelled. */
export const rested = (ms: number, signal: AbortSignal): Promise<void> =>
    new Promise((done) => {
        const timer = setTimeout(done, ms);
        signal.addEventListener(
            "abort",
            () => {
                clearTimeout(timer);
                done();
            },
            { once: true },
        );
    });
