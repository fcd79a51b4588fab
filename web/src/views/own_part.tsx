/** The dialog's way out when the catalogue has nothing of the kind: a module of one's own. */
import { useState } from "preact/hooks";
import type { TraitRow } from "../model/part_answers";
import { own_part_edits, own_type } from "../model/own_part";
import type { FormProps } from "./forms";
import { submitting } from "./forms";
import { focus_made } from "./made";
import { Choose, Field } from "./pieces";
import { SaidOfForm, useProposal } from "./proposal";

const one_word = (words: string) =>
    words
        .trim()
        .toLowerCase()
        .replace(/[^a-z0-9_-]+/g, "-")
        .replace(/^-+|-+$/g, "");

export function OwnPartForm({
    s,
    dispatch,
    all,
    close,
    traits,
    words,
}: FormProps & { traits: TraitRow[]; words: string }) {
    const [own, set] = useState({
        name: one_word(words),
        range: "4.5..5.5 V",
        rail: all.rails[0]?.name ?? "",
        pin: "OUT",
        like: "",
    });
    const put = (part: Partial<typeof own>) => set({ ...own, ...part });
    const signals = traits.filter((t) => /input|output|I2C|one-wire/.test(t.name));
    const like = own.like || (signals[0]?.name ?? "");
    const form = useProposal(s, dispatch, () => {
        close();
        focus_made(`part ${own.name}`);
    });
    const submit = () => form.propose(own_part_edits({ ...own, like }), `describe part ${own.name}`);
    return (
        <form onSubmit={submitting(submit)} class="own-part">
            <p class="hint">
                What you say here becomes a type of its own in the bench file,{" "}
                <code>{own_type(own.name || "name")}</code>, with one signal pin. More pins and figures are added in the
                text.
            </p>
            <div class="fields">
                <Field label="Name on this bench" value={own.name} on={(name) => put({ name })} required focus />
                <Field
                    label="Supply it is made for"
                    value={own.range}
                    on={(range) => put({ range })}
                    hint="As its page says: 4.5..5.5 V"
                    required
                    said={form.about("range", own.range)}
                />
                <Choose
                    label="Rail of its supply"
                    value={own.rail}
                    options={[
                        { value: "", words: "not joined yet" },
                        ...all.rails.map((r) => ({ value: r.name, words: r.name })),
                    ]}
                    on={(rail) => put({ rail })}
                />
                <Field
                    label="Name of its signal pin"
                    value={own.pin}
                    on={(pin) => put({ pin })}
                    hint="As printed on it: OUT, IN, SIG"
                    required
                />
                <Choose
                    label="What that pin is"
                    value={like}
                    options={signals.map((t) => ({ value: t.name, words: t.name }))}
                    on={(l) => put({ like: l })}
                />
            </div>
            <SaidOfForm said={form.besides({ range: own.range })} />
            <p class="actions">
                <button class="main" disabled={!like}>
                    Add the module
                </button>
            </p>
        </form>
    );
}
