/// The description of a readings file: what is read, what is refused, what the schema says.
#include "faults/readings_shape.h"

#include "faults/readings_file.h"

namespace voltsill {
namespace {

constexpr double largest_weight = 1e6;

/// A share, a floor of this dimension, or both with a plus between them.
std::expected<MeterErrorRecord, ParseTrouble> parse_meter_error(Dimension dimension, std::string_view text) {
    MeterErrorRecord out;
    for (std::size_t at = 0; at <= text.size();) {
        const std::size_t end = std::min(text.find('+', at), text.size());
        const std::string_view piece = text.substr(at, end - at);
        const auto share = parse_ratio(piece);
        const auto floor = parse_span(dimension, piece);
        const bool has_unit = piece.find('%') == std::string_view::npos;
        if (share && !has_unit && !out.share) {
            out.share = *share;
        } else if (floor && has_unit && floor->lo == floor->hi && !out.floor) {
            out.floor = floor->nominal;
        } else {
            ParseTrouble trouble = has_unit && !floor ? floor.error() : ParseTrouble{};
            if (trouble.code.empty()) trouble = {"not-an-error", "this is no share and no floor", "", 0, piece.size()};
            trouble.at += at;
            trouble.expected = "a share, a floor, or both: \"0.5 % + 2 mV\"";
            return std::unexpected(std::move(trouble));
        }
        at = end + 1;
    }
    if (out.share.value_or(0) < 0 || out.floor.value_or(0) < 0 || out.share.value_or(0) > 1)
        return std::unexpected(ParseTrouble{"out-of-range", "a meter is wrong by 0 to 100 %",
                                            "a share such as \"1 %\"", 0, text.size()});
    return out;
}

Type<MeterErrorRecord> meter_error(Dimension dimension) {
    return from_text<MeterErrorRecord>("what the meter may be wrong by, such as \"0.5 % + 2 mV\"",
                                       "^[^+]+(\\+[^+]+)?$", [dimension](std::string_view text) {
                                           return parse_meter_error(dimension, text);
                                       });
}

const Shape<MeterRecord>& meter_shape() {
    static const auto shape =
        Shape<MeterRecord>("meter", "What the instruments may be wrong by; left out: a hand meter")
            .optional("volts_error", &MeterRecord::volts, "of voltages", "\"0.5 % + 2 mV\"",
                      meter_error(Dimension::voltage))
            .optional("ohms_error", &MeterRecord::ohms, "of resistances, leads and contacts included",
                      "\"2 % + 0.5 Ω\"", meter_error(Dimension::resistance))
            .optional("time_error", &MeterRecord::seconds, "of times read off a screen", "\"15 %\"", ratio());
    return shape;
}

void one_kind_of_reading(const Value& value, ReadingRecord& r, Reader& reader) {
    const auto spot = [&](std::string_view key) { return r.keys.find(key)->key_spot; };
    const std::vector<std::string> kinds{"at", "between", "look", "supply_of"};
    std::vector<std::string> there;
    for (const std::string& key : kinds)
        if (r.keys.find(key)) there.push_back(key);
    if (there.empty()) {
        if (!value.damaged)
            reader.error(value.spot, "missing-key", "this reading does not say where it was taken",
                         "at = \"U1.13\", between = [\"U1.20\", \"ground\"], look = \"wire 12\" or supply_of = \"U1\"");
        return;
    }
    if (there.size() > 1)
        reader.conflict(spot(there[1]), spot(there[0]), "two-places",
                        "\"" + there[0] + "\" and \"" + there[1] + "\" are two readings", "one of them in each");
    const std::string answer = there[0] == "look" ? "as_planned" : there[0] == "supply_of" ? "dips" : "reads";
    const char* example = answer == "reads"  ? "reads = \"0.02 V\""
                          : answer == "dips" ? "dips = true"
                                             : "as_planned = false";
    if (!r.keys.find(answer) && !value.damaged)
        reader.error(value.spot, "missing-key", "this reading has no \"" + answer + "\": what came out", example);
    if (there[0] != "look" && r.keys.find("shows"))
        reader.error(spot("shows"), "key-elsewhere", "\"shows\" is said of a look", "\"" + answer + "\"");
    for (const char* key : {"reads", "as_planned", "dips", "when", "of"}) {
        const bool of_volts = there[0] == "at" && (key == std::string_view("when") || key == std::string_view("of"));
        if (r.keys.find(key) && key != answer && !of_volts)
            reader.error(spot(key), "key-elsewhere",
                         std::string("\"") + key + "\" says nothing of a reading with \"" + there[0] + "\"",
                         "\"" + answer + "\"");
    }
}

const Shape<ReadingRecord>& reading_shape() {
    static const auto shape =
        Shape<ReadingRecord>("reading",
                             "A reading that was taken: of volts or a time at a point, of ohms between two, "
                             "or a look")
            .place(&ReadingRecord::place)
            .places(&ReadingRecord::keys)
            .optional("at", &ReadingRecord::at,
                      "where the red lead or the probe was; with \"supply\" a supply with its wires pulled",
                      "\"U1.13\"")
            .optional("between", &ReadingRecord::between, "where the leads of the ohmmeter were, power off",
                      "[\"U1.20\", \"ground\"]", list<Text>())
            .optional("reads", &ReadingRecord::reads,
                      "what came out: a voltage, a resistance, a rise time, \"drifts\" or \"open\"", "\"0.02 V\"")
            .optional("when", &ReadingRecord::when, "what the bench was told, and which rails were off",
                      "\"controller.D4 high, usb off\"")
            .optional("of", &ReadingRecord::of, "the link that runs while a rise time is read", "\"tank echo\"")
            .optional(
                "look", &ReadingRecord::look,
                "a wire or a part that was looked at; with \"around\" a part and every wire at it, with \"wires of\" "
                "every wire on a rail or the ground",
                "\"wire 12\"")
            .optional("as_planned", &ReadingRecord::as_planned, "whether it is as the sheet has it", "false")
            .optional("shows", &ReadingRecord::shows, "of a look that is not as planned: what is seen", "\"in 19t\"")
            .optional("supply_of", &ReadingRecord::supply_of, "the part at whose supply pin the scope was", "\"U1\"")
            .optional("dips", &ReadingRecord::dips, "whether that supply dips by more than a tenth", "true")
            .check(one_kind_of_reading);
    return shape;
}

const Shape<SeenRecord>& seen_shape() {
    static const auto shape =
        Shape<SeenRecord>("seen", "What somebody saw the bench do")
            .place(&SeenRecord::place)
            .places(&SeenRecord::keys)
            .optional("link", &SeenRecord::link, "the link of which it is said", "\"tank echo\"")
            .optional("part", &SeenRecord::part, "the part that gets hot", "\"U1\"")
            .required("what", &SeenRecord::what, "what it does", "\"works when touched\"")
            .optional("is", &SeenRecord::is, "false: it is not so", "true");
    return shape;
}

const Shape<DiagnosisRecord>& options_shape() {
    static const auto shape = Shape<DiagnosisRecord>("options", "How to look for the fault")
                                  .optional("pairs", &DiagnosisRecord::pairs, "two faults at once as well", "true");
    return shape;
}

}  // namespace

const Shape<ReadingsRecord>& readings_shape() {
    static const auto shape =
        Shape<ReadingsRecord>("readings", "Readings taken at a build that does not work")
            .places(&ReadingsRecord::keys)
            .optional("meter", &ReadingsRecord::meter, "what the instruments may be wrong by", "",
                      record(meter_shape()))
            .optional("readings", &ReadingsRecord::readings, "in the order in which they were taken", "",
                      list(record(reading_shape())))
            .optional("seen", &ReadingsRecord::seen, "what the bench did", "", list(record(seen_shape())))
            .optional("weights", &ReadingsRecord::weights,
                      "how often a kind of fault is met, relative to the others, in place of common practice", "",
                      named(number(0, largest_weight)))
            .optional("options", &ReadingsRecord::options, "how to look", "", record(options_shape()));
    return shape;
}

std::string readings_schema() { return json_schema(readings_shape()); }

}  // namespace voltsill
