/** Dialogs that add or change a rail, a part, a link. Each ends in one edit of the text. */
import { useEffect, useState } from "preact/hooks";
import type { Dispatch } from "../model/actions";
import type { Edit, PartType } from "../model/answers";
import { free_name, joinable, type Rows } from "../model/bench_rows";
import type { State } from "../model/state";
import { quantity, span } from "../model/words";
import { Choose, Dialog, Field } from "./pieces";
import { Listbox } from "./listbox";

interface Props {
    s: State;
    dispatch: Dispatch;
    all: Rows;
    close: () => void;
}

const form = (submit: () => void) => (e: Event) => {
    e.preventDefault();
    submit();
};

/** Ports of parts on this bench that make a voltage themselves. */
function feeders(s: State, all: Rows): string[] {
    return all.parts.flatMap(({ name, type }) =>
        (s.types[type]?.supplies ?? []).filter((p) => p.provides).map((p) => `${name}.${p.name}`),
    );
}

export function RailForm({ s, dispatch, all, close, of }: Props & { of: string | null }) {
    const rail = all.rails.find((r) => r.name === of)?.rail ?? null;
    const before = {
        volts: rail ? span(rail.volts).replace(" to ", " .. ") : of ? "" : "5 V ± 5 %",
        limit: rail?.limit ? quantity(rail.limit) : "",
        from: rail?.from ?? "",
        switch: rail?.switch ?? "",
    };
    const [name, set_name] = useState(
        of ??
            free_name(
                "usb",
                all.rails.map((r) => r.name),
            ),
    );
    const [now, set] = useState(before);
    const put = (part: Partial<typeof now>) => set({ ...now, ...part });
    const submit = () => {
        const changed = Object.entries(now).filter(([key, value]) => value !== before[key as keyof typeof before]);
        const given = Object.entries(now).filter(([, value]) => value !== "");
        const edits: Edit[] = of
            ? changed.map(([key, value]): Edit =>
                  value === ""
                      ? { do: "remove", path: ["rails", of, key] }
                      : { do: "set", path: ["rails", of, key], value },
              )
            : [{ do: "add-rail", name, entries: Object.fromEntries(given) }];
        if (of && name !== of) edits.push({ do: "rename", kind: "rail", from: of, to: name });
        if (edits.length) dispatch({ do: "edit", edits, word: `${of ? "change" : "add"} rail ${name}` });
        close();
    };
    return (
        <Dialog title={of ? `Rail ${of}` : "Add a rail"} close={close}>
            <form onSubmit={form(submit)}>
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
                    hint="With its tolerance or as a range: 3.3 V ± 3 %, 4.75..5.25 V"
                />
                <Field
                    label="Current it can deliver"
                    value={now.limit}
                    on={(limit) => put({ limit })}
                    hint="500 mA, 2 A"
                />
                <Field
                    label="Made by"
                    value={now.from}
                    on={(from) => put({ from })}
                    list={feeders(s, all)}
                    hint="The supply of a part that makes it: controller.3V3. Empty: a supply on the bench"
                />
                <Field
                    label="Switched with"
                    value={now.switch}
                    on={(word) => put({ switch: word })}
                    hint="Rails with the same word go up and down together"
                />
                <p class="actions">
                    <button class="main">{of ? "Change the rail" : "Add the rail"}</button>
                </p>
            </form>
        </Dialog>
    );
}

/** A rail for every supply of the type that it does not make itself. */
function SupplyChoices({
    type,
    rails,
    value,
    on,
}: {
    type: PartType;
    rails: string[];
    value: Record<string, string>;
    on: (v: Record<string, string>) => void;
}) {
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

/** Rails whose voltage lies in what a supply is made for; a rail that is alone on the bench will be meant. */
function fitting(type: PartType, all: Rows): Record<string, string> {
    const fits = (p: PartType["supplies"][0]) =>
        all.rails.find(
            (r) =>
                r.rail &&
                r.rail.volts.lo! >= (p.range.lo ?? -Infinity) - 1e-9 &&
                r.rail.volts.hi! <= (p.range.hi ?? Infinity) + 1e-9,
        );
    const alone = all.rails.length === 1 && !all.rails[0]!.rail ? all.rails[0]!.name : "";
    return Object.fromEntries(type.supplies.map((p) => [p.name, fits(p)?.name ?? alone]));
}

function supply_entries(type: PartType, chosen: Record<string, string>): Record<string, unknown> {
    const given = type.supplies
        .filter((p) => !p.provides && chosen[p.name])
        .map((p) => [p.name, chosen[p.name]!] as const);
    if (given.length === 0) return {};
    const ports = type.supplies.filter((p) => !p.provides).length;
    return ports === 1 ? { supply: given[0]![1] } : { supplies: Object.fromEntries(given) };
}

/** Supplies that the type makes itself, and the rails to be made of them, with names nobody has. */
function made_rails(type: PartType, all: Rows): Record<string, string> {
    const taken = all.rails.map((r) => r.name);
    return Object.fromEntries(
        type.supplies.filter((p) => p.provides).map((p) => [p.name, free_name(p.name.toLowerCase(), taken)]),
    );
}

function rail_edits(type: PartType, part: string, made: Record<string, string>): Edit[] {
    const volts = (v: number | null) => String(Number((v ?? 0).toPrecision(6)));
    return type.supplies
        .filter((p) => p.provides && made[p.name])
        .map((p): Edit => ({
            do: "add-rail",
            name: made[p.name]!,
            entries: { volts: `${volts(p.provides!.lo)}..${volts(p.provides!.hi)} V`, from: `${part}.${p.name}` },
        }));
}

const short_name = (type: PartType): string =>
    (type.name.replace(/^\d+$/, "part").split(/[\s,]+/)[0] ?? "part").toLowerCase().replace(/[^a-z0-9_-]/g, "") ||
    "part";

export function PartSearch({ s, dispatch, all, close }: Props) {
    const [words, set_words] = useState("");
    const [chosen, choose] = useState<string | null>(null);
    const [name, set_name] = useState("");
    const [supplies, set_supplies] = useState<Record<string, string>>({});
    const [made, set_made] = useState<Record<string, string>>({});
    const type = chosen ? (s.types[chosen] ?? null) : null;
    const find = (w: string) => {
        set_words(w);
        dispatch({ do: "find", words: w });
    };
    useEffect(() => find(""), []);
    useEffect(() => {
        if (!type) return;
        set_name(
            free_name(
                short_name(type),
                all.parts.map((p) => p.name),
            ),
        );
        set_supplies(fitting(type, all));
        set_made(made_rails(type, all));
    }, [type]);
    const submit = () => {
        if (!type || !name) return;
        const entries = { type: chosen!, ...supply_entries(type, supplies) };
        dispatch({
            do: "edit",
            edits: [{ do: "add-part", name, entries }, ...rail_edits(type, name, made)],
            word: `add part ${name}`,
        });
        close();
    };
    return (
        <Dialog title="Add a part" close={close} wide>
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
                empty="Nothing found: fewer or other words"
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
            {type && (
                <form onSubmit={form(submit)} class="chosen-part">
                    <p>
                        <strong>{type.title}</strong>
                        {type.invented && " (figures invented)"}. {type.pins.length} pins:{" "}
                        <span class="mono">
                            {type.pins
                                .slice(0, 12)
                                .map((p) => p.name)
                                .join(" ")}
                            {type.pins.length > 12 && " …"}
                        </span>
                    </p>
                    <div class="fields">
                        <Field label="Name on this bench" value={name} on={set_name} required />
                        <SupplyChoices
                            type={type}
                            rails={all.rails.map((r) => r.name)}
                            value={supplies}
                            on={set_supplies}
                        />
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
            )}
        </Dialog>
    );
}

export function PartForm({ s, dispatch, all, close, of }: Props & { of: string }) {
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
    };
    return (
        <Dialog title={`Part ${of}`} close={close}>
            <form onSubmit={form(submit)}>
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
}: Props & { from: string | null; to: string | null }) {
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
    const suggested = free_name(
        to && from ? `${from.split(".")[0]} ${from.split(".")[1]!.toLowerCase()}` : "",
        all.links.map((l) => l.name),
    );
    const submit = () => {
        if (!from || !to) return;
        const link = name ?? suggested;
        const entries = { name: link, from, to, ...(rate && { rate }), ...(kind && { kind }) };
        dispatch({ do: "edit", edits: [{ do: "add-link", entries }], word: `join ${link}` });
        close();
    };
    return (
        <Dialog title="Join two pins" close={close} wide>
            <form onSubmit={form(submit)}>
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
                    <Field label="Name of the link" value={name ?? suggested} on={set_name} required />
                    <Field label="Rate" value={rate} on={set_rate} hint="2 kHz, 9600 baud" />
                    <Choose label="Kind" value={kind} options={kinds} on={set_kind} />
                </div>
                <p class="actions">
                    <button class="main" disabled={!from || !to}>
                        Join the pins
                    </button>
                </p>
            </form>
        </Dialog>
    );
}
