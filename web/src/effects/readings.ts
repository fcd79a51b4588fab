/** Readings are kept in this browser by the file of the bench, so that a tab that ends does not take them. */
import type { Readings } from "../model/readings";
import type { State } from "../model/state";
import { keep, kept } from "./kept";
import type { Effect, Store } from "./store";

const key = (s: State): string => `voltsill readings ${s.about?.folder ?? ""} ${s.doc?.path ?? ""}`;
const is_readings = (value: Partial<Readings> | null): value is Readings =>
    typeof value?.text === "string" &&
    Array.isArray(value.lines) &&
    value.lines.every((l) => typeof l === "string") &&
    typeof value.pairs === "boolean";

function kept_readings(s: State): Readings | null {
    try {
        const value = JSON.parse(kept(key(s)) ?? "null") as Partial<Readings> | null;
        return is_readings(value) ? value : null;
    } catch {
        return null; // not written by this page
    }
}

function keep_readings(s: State) {
    const some = s.readings.text !== "" || s.readings.lines.length > 0;
    keep(key(s), some ? JSON.stringify(s.readings) : null);
}

export function keeping_readings(store: Store): Effect {
    return (action, before, after) => {
        if (!after.doc?.path) return;
        const readings = action.do === "open" ? kept_readings(after) : null;
        if (readings) store.dispatch({ do: "readings", change: { kind: "take", readings } });
        else if (action.do !== "open" && before.readings !== after.readings) keep_readings(after);
    };
}
