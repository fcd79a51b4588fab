import assert from "node:assert/strict";
import { test } from "node:test";
import type { CheckKind } from "@page/hall/answers";
import { read_entry } from "@page/hall/numbers";

const sent = (kind: CheckKind, typed: string) => {
    const read = read_entry(kind, typed);
    return "send" in read ? read.send : `? ${read.trouble}`;
};

test("a number of volts, however a phone's keyboard wrote it", () => {
    for (const typed of ["3,28", "3.28", " 3.28 ", "3.28V", "3.28 v", "3,28 volt", "3.28 Volts", "3V28", "+3.28"])
        assert.match(sent("volts", typed), /^\+?3\.28 V$/, typed);
    assert.equal(sent("volts", "-0,2"), "-0.2 V");
    assert.equal(sent("volts", "−0.2 V"), "-0.2 V");
    assert.equal(sent("volts", "20m"), "20 mV");
    assert.equal(sent("volts", "20 mV"), "20 mV");
    assert.equal(sent("volts", "20MV"), "20 mV", "a keyboard's large letter: nobody has megavolts here");
    assert.equal(sent("volts", ".5"), "0.5 V");
    assert.equal(sent("volts", "-.5"), "-0.5 V");
    assert.equal(sent("volts", "5."), "5 V");
});

test("digits stay as they were read: 3.30 says more than 3.3", () => {
    assert.equal(sent("volts", "3.30"), "3.30 V");
    assert.equal(sent("ohms", "4,70 k"), "4.70 kΩ");
});

test("ohms with the letter for the point (IEC 60062), prefixes, and a meter that shows nothing", () => {
    assert.equal(sent("ohms", "4k7"), "4.7 kΩ");
    assert.equal(sent("ohms", "2R2"), "2.2 Ω");
    assert.equal(sent("ohms", "1M5"), "1.5 MΩ");
    assert.equal(sent("ohms", "4.7 kohm"), "4.7 kΩ");
    assert.equal(sent("ohms", "4.7 k\u2126"), "4.7 kΩ", "the sign U+2126 of old character sets");
    assert.equal(sent("ohms", "2.3MΩ"), "2.3 MΩ");
    assert.equal(sent("ohms", "0"), "0 Ω");
    for (const word of ["open", "OL", "O.L", "o.l.", "0L", "∞"]) assert.equal(sent("ohms", word), "open", word);
});

test("amperes are asked for their unit, since meters show both", () => {
    assert.match(sent("amps", "20"), /^\? .*mA or A/);
    assert.equal(sent("amps", "20m"), "20 mA");
    assert.equal(sent("amps", "20 Ma"), "20 mA");
    assert.equal(sent("amps", "0,02 A"), "0.02 A");
    assert.equal(sent("amps", "15 µA"), "15 µA");
    assert.equal(sent("amps", "15 \u03bcA"), "15 µA", "the Greek letter");
    assert.equal(sent("amps", "15 uA"), "15 µA");
});

test("levels by word", () => {
    for (const word of ["high", "High", "H", "1", "on"]) assert.equal(sent("level", word), "high", word);
    for (const word of ["low", "L", "0", "off"]) assert.equal(sent("level", word), "low", word);
    assert.equal(sent("volts", "drifts"), "drifts");
    assert.equal(sent("volts", "floating"), "drifts");
});

test("what is no reading is sent back with words, not guessed at", () => {
    for (const [kind, typed] of [
        ["volts", ""],
        ["volts", "   "],
        ["volts", "banana"],
        ["volts", "3.28 A"],
        ["volts", "3.2.8"],
        ["volts", "1,234,5"],
        ["volts", "3.3 5"],
        ["ohms", "3 V"],
        ["amps", "20 mV"],
        ["level", "3.3"],
        ["volts", "open"],
        ["ohms", "drifts"],
    ] as [CheckKind, string][])
        assert.match(sent(kind, typed), /^\? /, `${kind} "${typed}"`);
});
