import assert from "node:assert/strict";
import { test } from "node:test";
import type { Candidate, Judgement, Problem, Verdict } from "@page/model/answers";
import { use_words, wish_of, wish_words } from "@page/model/choice";
import { is_turned } from "@page/model/direction";
import { brought, is_about } from "@page/model/forms";
import { own_part_edits, pin_trouble, supply_asked } from "@page/model/own_part";
import { plan_reason } from "@page/model/plan_reason";
import { initial, type State } from "@page/model/state";
import { spoken } from "@page/views/spoken";

const problem = (message: string, line: number): Problem => ({
    severity: "error",
    code: "no-unit",
    message,
    place: { file: "bench.toml", line, column: 1, width: 1 },
});

test("a form is told what its change brings, beside the field it is about", () => {
    const text = '[rails]\nx = { volts = "5", limit = "1 A" }\n';
    const before = [problem("an older mistake", 9)];
    const after = { accepted: false, problems: [problem("an older mistake", 10), problem('"5" has no unit', 2)] };
    const said = brought(before, after, text);
    assert.deepEqual(
        said.map((one) => one.problem.message),
        ['"5" has no unit'],
    );
    assert.equal(is_about(said[0]!, "volts", "5"), true);
    assert.equal(is_about(said[0]!, "volts", "5 V"), false, "the value was mended meanwhile");
    assert.equal(is_about(said[0]!, "limit", "2 A"), false);
    assert.deepEqual(brought([], { accepted: true, problems: [] }, text), []);
    const empty = { accepted: false, problems: [{ ...problem("nothing here", 1), code: "empty-bench" }] };
    assert.deepEqual(brought([], empty, text), [], "a bench with its first rail is none yet, and no mistake");
});

test("the driver goes first, however the pins were pressed", () => {
    assert.equal(is_turned("io", "open-drain", ""), true);
    assert.equal(is_turned("open-drain", "io", ""), false);
    assert.equal(is_turned("input", "push-pull", ""), true);
    assert.equal(is_turned("io", "io", ""), false);
    assert.equal(is_turned("input", "input", ""), false, "the reader says what is wrong with two inputs");
    assert.equal(is_turned("push-pull", "push-pull", ""), false);
    assert.equal(is_turned("io", "open-drain", "open-drain"), false, "a bus has no direction");
});

const candidate = (verdict: Verdict, more: Partial<Candidate> = {}): Candidate => ({
    circuit: "low-rail-buffer",
    title: "LV-A 125 on rail three",
    part: "LV-A 125",
    verdict,
    high_margin: null,
    low_margin: null,
    parts: 1,
    price: 1,
    in_stock: true,
    inverted: false,
    wired: true,
    choosable: true,
    why_not: "",
    how_sized: "",
    cautions: [],
    ...more,
});

test("what was pressed is what the file asks for, and a worse choice is called worse", () => {
    assert.equal(wish_of(candidate("safe")), "low-rail-buffer LV-A 125");
    assert.equal(wish_of(candidate("safe", { part: null, circuit: "divider" })), "divider");
    const titles = [{ name: "low-rail-buffer", title: "tolerant buffer" }];
    assert.equal(wish_words("low-rail-buffer LV-A 125", titles), "tolerant buffer, LV-A 125");
    assert.equal(use_words(candidate("safe"), candidate("safe")), "Use this");
    assert.match(use_words(candidate("harmful"), candidate("safe"))!, /all the same: harmful/);
    assert.equal(use_words(candidate("harmful"), candidate("harmful")), "Use this");
    assert.equal(use_words(candidate("unreadable", { choosable: false }), null), null);
});

test("a supply is a rail, and a module is described with what one knows of it", () => {
    assert.equal(supply_asked("12 V"), "12 V");
    assert.equal(supply_asked("9V battery"), "9 V");
    assert.equal(supply_asked("supply"), "");
    assert.equal(supply_asked("octal buffer 5 V"), null);
    assert.equal(supply_asked(""), null);
    const pins = [
        { name: "SIG", like: "TTL input, 5 V" },
        { name: "BACK", like: "push-pull output, 5 V" },
    ];
    const edits = own_part_edits({ name: "servo", range: "4.8..6 V", rail: "usb", pins });
    assert.deepEqual(edits[0], { do: "add-part", name: "servo", entries: { type: "servo-module", supply: "usb" } });
    for (const pin of ["SIG", "BACK", "GND"])
        assert.ok(
            edits.some((e) => e.do === "set" && e.path.join(".") === `types.servo-module.pins.${pin}`),
            pin,
        );
    assert.equal(pin_trouble(pins, 1), "");
    assert.match(pin_trouble([...pins, { name: " sig ", like: "" }], 2), /Pin 1 has this name/);
    assert.match(pin_trouble([{ name: "gnd", like: "" }], 0), /GND is there anyway/);
});

const judged = (verdict: Verdict, more: Partial<Judgement> = {}): Judgement =>
    ({ verdict, findings: [], links: [], shared: [], states_solved: 1, trouble: "", ...more }) as Judgement;
const with_answers = (check: Judgement, plan: Judgement): State =>
    ({
        ...initial,
        check: {
            ...initial.check,
            of: "",
            value: { accepted: true, problems: [], wiring_from: "direct", judgement: check },
        },
        plan: { ...initial.plan, of: "", value: { accepted: true, problems: [], links: [], judgement: plan } },
    }) as unknown as State;

test("without links nothing is called safe, and a plan that is not safe says why", () => {
    assert.equal(spoken(with_answers(judged("safe"), judged("safe"))), "Nothing is joined yet.");
    const back = { verdict: "thin", sentence: "Rail logic is lifted." };
    const plan = judged("thin", { findings: [back], shared: [0] } as unknown as Partial<Judgement>);
    const reason = plan_reason(with_answers(judged("safe"), plan));
    assert.equal(reason?.finding?.sentence, "Rail logic is lifted.");
    assert.equal(reason?.link, null);
    assert.equal(plan_reason(with_answers(judged("safe"), judged("safe"))), null);
});
