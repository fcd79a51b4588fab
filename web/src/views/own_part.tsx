/** The dialog's way out when the catalogue has nothing of the kind: a module of one's own. */
import { useRef, useState } from "preact/hooks";
import type { TraitRow } from "../model/part_answers";
import { own_part_edits, own_type, pin_trouble, type OwnPin } from "../model/own_part";
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

interface PinRowProps {
    at: number;
    pins: OwnPin[];
    signals: TraitRow[];
    change: (part: Partial<OwnPin>) => void;
    remove: () => void;
}
function PinRow({ at, pins, signals, change, remove }: PinRowProps) {
    const pin = pins[at]!;
    const trouble = pin_trouble(pins, at);
    return (
        <fieldset class="row">
            <legend>Signal pin{pins.length > 1 && ` ${at + 1}`}</legend>
            <div class="fields">
                <Field
                    label="Name of the pin"
                    value={pin.name}
                    on={(name) => change({ name })}
                    hint="As printed on it: OUT, IN, SIG"
                    required
                    focus={at > 0 && pin.name === ""}
                />
                <Choose
                    label="What that pin is"
                    value={pin.like}
                    options={signals.map((t) => ({ value: t.name, words: t.name }))}
                    on={(like) => change({ like })}
                />
            </div>
            {trouble && (
                <p class="trouble" role="alert">
                    {trouble}
                </p>
            )}
            {pins.length > 1 && (
                <button type="button" onClick={remove}>
                    Take this pin out<span class="unseen">: {pin.name || at + 1}</span>
                </button>
            )}
        </fieldset>
    );
}

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
        pins: [{ name: "OUT", like: "" }],
    });
    const add = useRef<HTMLButtonElement>(null);
    const put = (part: Partial<typeof own>) => set({ ...own, ...part });
    const signals = traits.filter((t) => /input|output|I2C|one-wire/.test(t.name));
    const usual = signals[0]?.name ?? "";
    const pins = own.pins.map((pin) => ({ ...pin, like: pin.like || usual }));
    const set_pin = (at: number, part: Partial<OwnPin>) =>
        put({ pins: own.pins.map((pin, k) => (k === at ? { ...pin, ...part } : pin)) });
    const form = useProposal(s, dispatch, () => {
        close();
        focus_made(`part ${own.name}`);
    });
    const clear = pins.every((_, k) => pin_trouble(pins, k) === "");
    const submit = () => {
        if (clear) form.propose(own_part_edits({ ...own, pins }), `describe part ${own.name}`);
    };
    return (
        <form onSubmit={submitting(submit)} class="own-part">
            <p class="hint">
                What you say here becomes a type of its own in the bench file,{" "}
                <code>{own_type(own.name || "name")}</code>, with a supply pin VCC, a ground GND and the signal pins you
                name. Figures are added in the text.
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
            </div>
            {pins.map((_, k) => (
                <PinRow
                    key={k}
                    at={k}
                    pins={pins}
                    signals={signals}
                    change={(part) => set_pin(k, part)}
                    remove={() => {
                        put({ pins: own.pins.filter((_, other) => other !== k) });
                        add.current?.focus();
                    }}
                />
            ))}
            <p class="actions">
                <button
                    type="button"
                    ref={add}
                    onClick={() => put({ pins: [...own.pins, { name: "", like: pins[pins.length - 1]?.like ?? "" }] })}>
                    Add a signal pin
                </button>
            </p>
            <SaidOfForm said={form.besides({ range: own.range })} />
            <p class="actions">
                <button class="main" disabled={!usual}>
                    Add the module
                </button>
            </p>
        </form>
    );
}
