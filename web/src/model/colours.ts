/** Colours of wires in words. */

/** Codes of colours after IEC 60757, which the sheets print. */
const colours: Record<string, string> = {
    BK: "black",
    BN: "brown",
    RD: "red",
    OG: "orange",
    YE: "yellow",
    GN: "green",
    BU: "blue",
    VT: "violet",
    GY: "grey",
    WH: "white",
    PK: "pink",
    GD: "gold",
    TQ: "turquoise",
    SR: "silver",
    GNYE: "green and yellow",
};
export const colour_word = (code: string): string => colours[code] ?? code;
