/** Readings are kept in this browser by the file of the bench, so that a tab that ends does not take them. */
import type { Readings } from "../model/readings";
import type { State } from "../model/state";
import type { Effect, Store } from "./store";

const key = (s: State): string => `voltsill readings ${s.about?.folder ?? ""} ${s.doc?.path ?? ""}`;
const is_readings = (value: Partial<Readings> | null): value is Readings =>
    typeof value?.text === "string" &&
    Array.isArray(value.lines) &&
    value.lines.every((l) => typeof l === "string") &&
    typeof value.pairs === "boolean";

/** Storage may be full or forbidden: then nothing is kept. */
function kept(s: State): Readings | null {
    try {
        const value = JSON.parse(localStorage.getItem(key(s)) ?? "null") as Partial<Readings> | null;
        return is_readings(value) ? value : null;
    } catch {
        return null;
    }
}

function keep(s: State) {
    try {
        if (s.readings.text || s.readings.lines.length > 0) localStorage.setItem(key(s), JSON.stringify(s.readings));
        else localStorage.removeItem(key(s));
    } catch {
        /* as above */
    }
}

export function keeping_readings(store: Store): Effect {
    return (action, before, after) => {
        if (!after.doc?.path) return;
        const readings = action.do === "open" ? kept(after) : null;
        if (readings) store.dispatch({ do: "readings", change: { kind: "take", readings } });
        else if (action.do !== "open" && before.readings !== after.readings) keep(after);
    };
}
