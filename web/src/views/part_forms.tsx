/** Dialogs that find and add a part, or change one; each ends in one edit of the text. */
import { useEffect, useState } from "preact/hooks";
import type { Edit } from "../model/answers";
import type { PartType } from "../model/part_answers";
import { free_name, type Rows } from "../model/bench_rows";
import { fitting, made_rails, rail_edits, short_name, supply_entries } from "../model/new_part";
import { supply_asked } from "../model/own_part";
import { span } from "../model/words";
import { submitting, type FormProps } from "./forms";
import { Listbox } from "./listbox";
import { focus_made } from "./made";
import { OwnPartForm } from "./own_part";
import { Choose, Dialog, Field } from "./pieces";

interface SupplyProps {
    type: PartType;
    rails: string[];
    value: Record<string, string>;
    on: (v: Record<string, string>) => void;
}
/** A rail for every supply of the type that it does not make itself. */
function SupplyChoices({ type, rails, value, on }: SupplyProps) {
    const options = [{ value: "", words: "not joined yet" }, ...rails.map((r) => ({ value: r, words: r }))];
    return (
        <>
            {type.supplies
                .filter((p) => !p.provides)
                .map((p) => (
                    <Choose
                        key={p.name}
                        label={`Rail of ${p.name} (${span(p.range)})`}
                        value={value[p.name] ?? ""}
                        options={options}
                        on={(r) => on({ ...value, [p.name]: r })}
                    />
                ))}
        </>
    );
}

interface ChosenProps {
    type: PartType;
    all: Rows;
    add: (name: string, edits: Edit[]) => void;
}
/** A part that was found, with what it will be joined to. */
function ChosenPart({ type, all, add }: ChosenProps) {
    const taken = all.parts.map((p) => p.name);
    const [name, set_name] = useState(() => free_name(short_name(type), taken));
    const [supplies, set_supplies] = useState(() => fitting(type, all));
    const [made, set_made] = useState(() => made_rails(type, all));
    const submit = () => {
        const entries = { type: type.name, ...supply_entries(type, supplies) };
        if (name) add(name, [{ do: "add-part", name, entries }, ...rail_edits(type, name, made)]);
    };
    const first_pins = type.pins.slice(0, 12).map((p) => p.name);
    return (
        <form onSubmit={submitting(submit)} class="chosen-part">
            <p>
                <strong>{type.title}</strong>
                {type.invented && " (figures invented)"}. {type.pins.length} pins:{" "}
                <span class="mono">
                    {first_pins.join(" ")}
                    {type.pins.length > first_pins.length && " …"}
                </span>
            </p>
            <div class="fields">
                <Field label="Name on this bench" value={name} on={set_name} required />
                <SupplyChoices type={type} rails={all.rails.map((r) => r.name)} value={supplies} on={set_supplies} />
                {Object.entries(made).map(([port, rail]) => (
                    <Field
                        key={port}
                        label={`Rail that its ${port} makes`}
                        value={rail}
                        on={(v) => set_made({ ...made, [port]: v })}
                        hint="Empty: no rail"
                    />
                ))}
            </div>
            <p class="actions">
                <button class="main">Add the part</button>
            </p>
        </form>
    );
}

/** `add_rail`: what was looked for is no part but a supply. */
export function PartSearch({ s, dispatch, all, close, add_rail }: FormProps & { add_rail: () => void }) {
    const [words, set_words] = useState("");
    const [chosen, choose] = useState<string | null>(null);
    const [own, set_own] = useState(false);
    const type = chosen ? (s.types[chosen] ?? null) : null;
    const supply = supply_asked(words);
    const traits = s.found.words === "" ? s.found.traits : []; // without words: all there are
    const describe = () => {
        set_own(true);
        dispatch({ do: "find", words: "" });
    };
    const find = (w: string) => {
        set_words(w);
        dispatch({ do: "find", words: w });
    };
    useEffect(() => find(""), []);
    const add = (name: string, edits: Edit[]) => {
        dispatch({ do: "edit", edits, word: `add part ${name}` });
        close();
        focus_made(`part ${name}`);
    };
    return (
        <Dialog title="Add a part" close={close} wide>
            {!own && (
                <>
                    <p class="hint">
                        Say what it is: <q>open collector sensor with pull-up to 5 V</q>, <q>3.3 V controller</q>,{" "}
                        <q>octal buffer</q>.
                    </p>
                    <Listbox
                        label="Parts found"
                        search_label="What is it?"
                        words={words}
                        on_words={find}
                        focus
                        value={chosen}
                        busy={s.found.words !== words}
                        empty="Nothing found: fewer or other words, or describe it below"
                        options={s.found.rows.map((r) => ({
                            value: r.name,
                            words: r.name,
                            more: r.volts.length > 0 ? `${r.title}; ${r.volts.join(" and ")}` : r.title,
                        }))}
                        on={(n) => {
                            choose(n);
                            dispatch({ do: "want-type", name: n });
                        }}
                    />
                    {supply !== null && (
                        <p role="status">
                            A supply is a rail that parts share, no part.{" "}
                            <button type="button" onClick={add_rail}>
                                Add a rail
                            </button>
                        </p>
                    )}
                    {type && <ChosenPart key={type.name} type={type} all={all} add={add} />}
                    <p>
                        Not among them?{" "}
                        <button type="button" onClick={describe}>
                            Describe a module of your own
                        </button>
                    </p>
                </>
            )}
            {own && traits.length > 0 && (
                <OwnPartForm s={s} dispatch={dispatch} all={all} close={close} traits={traits} words={words} />
            )}
        </Dialog>
    );
}

export function PartForm({ s, dispatch, all, close, of }: FormProps & { of: string }) {
    const row = all.parts.find((p) => p.name === of);
    const type = row ? (s.types[row.type] ?? null) : null;
    const before = Object.fromEntries((row?.part?.supplies ?? []).map((p) => [p.port, p.rail ?? ""]));
    const [name, set_name] = useState(of);
    const [supplies, set_supplies] = useState<Record<string, string>>(before);
    const submit = () => {
        const edits: Edit[] = [];
        if (type && JSON.stringify(supplies) !== JSON.stringify(before))
            for (const [key, value] of Object.entries(supply_entries(type, supplies)))
                edits.push({ do: "set", path: ["parts", of, key], value });
        if (name !== of) edits.push({ do: "rename", kind: "part", from: of, to: name });
        if (edits.length) dispatch({ do: "edit", edits, word: `change part ${name}` });
        close();
        focus_made(`part ${name}`);
    };
    return (
        <Dialog title={`Part ${of}`} close={close}>
            <form onSubmit={submitting(submit)}>
                <Field label="Name" value={name} on={set_name} required focus />
                {type && (
                    <SupplyChoices
                        type={type}
                        rails={all.rails.map((r) => r.name)}
                        value={supplies}
                        on={set_supplies}
                    />
                )}
                <p class="actions">
                    <button class="main">Change the part</button>
                </p>
            </form>
        </Dialog>
    );
}
