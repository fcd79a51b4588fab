/** The dialog that joins two pins; it ends in one edit of the text. */
import { useState } from "preact/hooks";
import { free_name, joinable } from "../model/bench_rows";
import { is_turned } from "../model/direction";
import { submitting, type FormProps } from "./forms";
import { Listbox } from "./listbox";
import { focus_made } from "./made";
import { Choose, Dialog, Field } from "./pieces";
import { SaidOfForm, useProposal } from "./proposal";

const kinds = [
    { value: "", words: "as the pins are" },
    { value: "logic", words: "logic, one way" },
    { value: "open-drain", words: "open-drain, wired together" },
    { value: "two-way", words: "two-way" },
    { value: "analog", words: "analogue" },
    { value: "load", words: "a load to switch" },
];

export function JoinForm({
    s,
    dispatch,
    all,
    close,
    from: given,
    to: goal,
}: FormProps & { from: string | null; to: string | null }) {
    const pins = joinable(s, all);
    const [from, set_from] = useState(given);
    const [to, set_to] = useState(goal);
    const [name, set_name] = useState<string | null>(null);
    const [rate, set_rate] = useState("");
    const [kind, set_kind] = useState("");
    const options = pins.map((p) => ({
        value: p.name,
        words: p.pin,
        group: p.part,
        more: `${p.what}${p.links.length ? `; in ${p.links.join(", ")}` : ""}`,
    }));
    const role = (pin: string | null) => pins.find((p) => p.name === pin)?.role;
    const turned = is_turned(role(from), role(to), kind);
    const [driver, receiver] = turned ? [to, from] : [from, to];
    const suggested = free_name(
        driver && receiver ? `${driver.split(".")[0]} ${driver.split(".")[1]!.toLowerCase()}` : "",
        all.links.map((l) => l.name),
    );
    const link = name ?? suggested;
    const form = useProposal(s, dispatch, () => {
        close();
        focus_made(`link ${link}`);
    });
    const submit = () => {
        if (!driver || !receiver) return;
        const entries = { name: link, from: driver, to: receiver, ...(rate && { rate }), ...(kind && { kind }) };
        form.propose([{ do: "add-link", entries }], `join ${link}`);
    };
    return (
        <Dialog title="Join two pins" close={close} wide>
            <form onSubmit={submitting(submit)}>
                <div class="two">
                    <section>
                        <h3>From {from && <span class="mono">{from}</span>}</h3>
                        <Listbox
                            label="Pin that the signal comes from"
                            search_label="Find a pin (from)"
                            options={options}
                            value={from}
                            on={set_from}
                            focus={!given}
                            empty="No pins: add parts first"
                        />
                    </section>
                    <section>
                        <h3>To {to && <span class="mono">{to}</span>}</h3>
                        <Listbox
                            label="Pin that the signal goes to"
                            search_label="Find a pin (to)"
                            options={options.filter((o) => o.value !== from)}
                            value={to}
                            on={set_to}
                            focus={Boolean(given)}
                            empty="No pins: add parts first"
                        />
                    </section>
                </div>
                <div class="fields">
                    <Field label="Name of the link" value={link} on={set_name} required />
                    <Field
                        label="Rate"
                        value={rate}
                        on={set_rate}
                        hint="2 kHz, 9600 baud"
                        said={form.about("rate", rate)}
                    />
                    <Choose label="Kind" value={kind} options={kinds} on={set_kind} />
                </div>
                {turned && (
                    <p role="status">
                        <span class="mono">{driver}</span> drives and <span class="mono">{receiver}</span> reads: the
                        link goes that way.
                    </p>
                )}
                <SaidOfForm said={form.besides({ rate })} />
                <p class="actions">
                    <button class="main" disabled={!from || !to}>
                        Join the pins
                    </button>
                </p>
            </form>
        </Dialog>
    );
}
