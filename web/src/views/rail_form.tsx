/** The dialog that adds or changes a rail; it ends in one edit of the text. */
import { useState } from "preact/hooks";
import type { Edit, Rail } from "../model/answers";
import { free_name } from "../model/bench_rows";
import { feeders } from "../model/new_part";
import { quantity, span } from "../model/words";
import { submitting, type FormProps } from "./forms";
import { focus_made } from "./made";
import { Dialog, Field } from "./pieces";
import { SaidOfForm, useProposal } from "./proposal";

type Entries = { volts: string; limit: string; from: string; switch: string };

function entries_of(rail: Rail | null, is_new: boolean): Entries {
    return {
        volts: rail ? span(rail.volts).replace(" to ", " .. ") : is_new ? "5 V ± 5 %" : "",
        limit: rail?.limit ? quantity(rail.limit) : "",
        from: rail?.from ?? "",
        switch: rail?.switch ?? "",
    };
}

/** What makes a rail that had `before` have `now`, under this name. */
function changes(of: string, name: string, before: Entries, now: Entries): Edit[] {
    const keys = (Object.keys(now) as (keyof Entries)[]).filter((key) => now[key] !== before[key]);
    const edits = keys.map((key): Edit => {
        const path = ["rails", of, key];
        return now[key] === "" ? { do: "remove", path } : { do: "set", path, value: now[key] };
    });
    return name === of ? edits : [...edits, { do: "rename", kind: "rail", from: of, to: name }];
}

export function RailForm({ s, dispatch, all, close, of }: FormProps & { of: string | null }) {
    const taken = all.rails.map((r) => r.name);
    const before = entries_of(all.rails.find((r) => r.name === of)?.rail ?? null, of === null);
    const [name, set_name] = useState(of ?? free_name("usb", taken));
    const [now, set] = useState(before);
    const form = useProposal(s, dispatch, () => {
        close();
        focus_made(`rail ${name}`);
    });
    const put = (part: Partial<Entries>) => set({ ...now, ...part });
    const submit = () => {
        const given = Object.entries(now).filter(([, value]) => value !== "");
        const added: Edit = { do: "add-rail", name, entries: Object.fromEntries(given) };
        const edits = of === null ? [added] : changes(of, name, before, now);
        if (edits.length) form.propose(edits, `${of === null ? "add" : "change"} rail ${name}`);
        else close();
    };
    return (
        <Dialog title={of ? `Rail ${of}` : "Add a rail"} close={close}>
            <form onSubmit={submitting(submit)}>
                <Field
                    label="Name"
                    value={name}
                    on={set_name}
                    required
                    focus
                    hint="One word, as you call it: usb, logic, pump"
                />
                <Field
                    label="Voltage"
                    value={now.volts}
                    on={(volts) => put({ volts })}
                    required
                    said={form.about("volts", now.volts)}
                    hint="With its tolerance or as a range: 3.3 V ± 3 %, 4.75..5.25 V"
                />
                <Field
                    label="Current it can deliver"
                    value={now.limit}
                    on={(limit) => put({ limit })}
                    said={form.about("limit", now.limit)}
                    hint="500 mA, 2 A"
                />
                <Field
                    label="Made by"
                    value={now.from}
                    on={(from) => put({ from })}
                    list={feeders(s, all)}
                    said={form.about("from", now.from)}
                    hint="The supply of a part that makes it: controller.3V3. Empty: a supply on the bench"
                />
                <Field
                    label="Switched with"
                    value={now.switch}
                    on={(word) => put({ switch: word })}
                    hint="Rails with the same word go up and down together"
                />
                <SaidOfForm said={form.besides({ volts: now.volts, limit: now.limit, from: now.from })} />
                <p class="actions">
                    <button class="main">{of ? "Change the rail" : "Add the rail"}</button>
                </p>
            </form>
        </Dialog>
    );
}
