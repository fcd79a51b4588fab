/** What is in a build besides its plan: wires of one's own, parts that sit elsewhere. */
import { Choose, Field } from "../views/pieces";
import type { ExtraWire, MovedPart } from "./build_form";
import type { FormProps } from "./build_wires";

interface RowProps<T> {
    of: T;
    change: (part: Partial<T>) => void;
    remove: () => void;
}

function WireRow({ of: wire, ends, change, remove }: RowProps<ExtraWire> & { ends: string[] }) {
    return (
        <fieldset class="row">
            <legend>Wire that is not in the plan</legend>
            <div class="fields">
                <Field label="From" value={wire.from} on={(from) => change({ from })} list={ends} required mono />
                <Field label="to" value={wire.to} on={(to) => change({ to })} list={ends} required mono />
            </div>
            <button onClick={remove}>Take this wire out</button>
        </fieldset>
    );
}

const seats = [
    { value: "at", words: "pin 1 in another hole" },
    { value: "turned", words: "turned round" },
    { value: "missing", words: "not there" },
];

function PartRow({ of: moved, change, remove }: RowProps<MovedPart>) {
    return (
        <fieldset class="row">
            <legend>Part that sits elsewhere</legend>
            <div class="fields">
                <Field
                    label="Part, such as U1 or C1.2"
                    value={moved.part}
                    on={(part) => change({ part })}
                    required
                    mono
                />
                <Choose
                    label="How it sits"
                    value={moved.how}
                    on={(how) => change({ how: how as MovedPart["how"] })}
                    options={seats}
                />
                {moved.how === "at" && (
                    <Field label="Hole of pin 1" value={moved.hole} on={(hole) => change({ hole })} required mono />
                )}
            </div>
            <button onClick={remove}>Take this part out</button>
        </fieldset>
    );
}

const with_part = <T,>(all: T[], at: number, part: Partial<T>): T[] =>
    all.map((one, i) => (i === at ? { ...one, ...part } : one));
const without = <T,>(all: T[], at: number): T[] => all.filter((_, i) => i !== at);

export function Besides({ form, ends, change }: FormProps) {
    const { extra, parts } = form;
    const set_extra = (to: ExtraWire[]) => change({ ...form, extra: to });
    const set_parts = (to: MovedPart[]) => change({ ...form, parts: to });
    return (
        <section aria-labelledby="besides">
            <h2 id="besides">Besides the plan</h2>
            {extra.map((wire, k) => (
                <WireRow
                    key={k}
                    of={wire}
                    ends={ends}
                    change={(part) => set_extra(with_part(extra, k, part))}
                    remove={() => set_extra(without(extra, k))}
                />
            ))}
            {parts.map((moved, k) => (
                <PartRow
                    key={k}
                    of={moved}
                    change={(part) => set_parts(with_part(parts, k, part))}
                    remove={() => set_parts(without(parts, k))}
                />
            ))}
            <p class="actions">
                <button onClick={() => set_extra([...extra, { from: "", to: "" }])}>Add a wire</button>
                <button onClick={() => set_parts([...parts, { part: "", how: "at", hole: "" }])}>
                    Add a part that sits elsewhere
                </button>
            </p>
        </section>
    );
}
