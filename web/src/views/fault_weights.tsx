/** How often each kind of fault is met: to see and to change; kept in the readings file. */
import { useEffect, useState } from "preact/hooks";
import type { Dispatch } from "../model/actions";
import type { Diagnosis, FaultKind } from "../model/fault_answers";
import { begun, count } from "../model/words";
import { weight_typed } from "../model/weights";
import { Scroll } from "./pieces";

type Set = (weight: number | null) => void;

function Row({ of: k, set }: { of: FaultKind; set: Set }) {
    const [typed, type] = useState(String(k.weight));
    useEffect(() => type(String(k.weight)), [k.weight]);
    const take = () => {
        const weight = weight_typed(typed);
        if (weight === null || weight === k.weight) type(String(k.weight));
        else set(weight === k.usual ? null : weight);
    };
    const faults = k.weight === 0 ? "not thought of" : count(k.faults, "place");
    return (
        <tr>
            <th scope="row">{begun(k.words)}</th>
            <td>
                <input
                    class="weight mono"
                    inputMode="decimal"
                    autocomplete="off"
                    size={5}
                    aria-label={`How often: ${k.words}`}
                    value={typed}
                    onInput={(e) => type(e.currentTarget.value)}
                    onChange={take}
                />
            </td>
            <td class="soft">{faults}</td>
            <td>
                {k.weight !== k.usual && (
                    <button class="quiet" onClick={() => set(null)}>
                        Usual: {k.usual}
                        <span class="unseen"> for {k.words}</span>
                    </button>
                )}
            </td>
        </tr>
    );
}

export function Weights({ d, dispatch }: { d: Diagnosis; dispatch: Dispatch }) {
    const { kinds } = d.askable;
    const changed = kinds.filter((k) => k.weight !== k.usual).length;
    return (
        <details class="weights">
            <summary>How often each kind of fault is met{changed > 0 && ` (${changed} changed)`}</summary>
            <p>
                Per thousand places where it can happen: common practice, no source. Write what your class does; 0
                leaves a kind out. Kept with the readings.
            </p>
            <Scroll label="Kinds of faults">
                <table>
                    <thead>
                        <tr>
                            <th>Kind</th>
                            <th>How often</th>
                            <th>On this build</th>
                            <th>
                                <span class="unseen">Back to what is usual</span>
                            </th>
                        </tr>
                    </thead>
                    <tbody>
                        {kinds.map((k) => (
                            <Row
                                key={k.key}
                                of={k}
                                set={(weight) =>
                                    dispatch({ do: "readings", change: { kind: "weight", of: k.key, weight } })
                                }
                            />
                        ))}
                    </tbody>
                </table>
            </Scroll>
        </details>
    );
}
