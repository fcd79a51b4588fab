#pragma once
/// A part file as written: one record per table of docs/part-files.md, before traits, families
/// and functions are put together. Every record may say where its numbers come from; what it
/// does not say it inherits from the record around it.
#include <optional>
#include <string>
#include <vector>

#include "parts/level_text.h"
#include "parts/model.h"
#include "parts/pin_list.h"
#include "records/shape.h"

namespace voltsill {

/// All that a record says, nothing of it, or what stands under these of its keys.
struct FromMemory {
    bool all = false;
    std::vector<std::string> keys;
};
/// Keys of the record around, separated by blanks.
struct KeyWords {
    std::vector<std::string> keys;
};

struct OriginRecord {
    std::optional<std::string> source;
    std::optional<Certainty> certainty;
    std::optional<FromMemory> from_memory;
    std::optional<KeyWords> only_typical;
};

/// What `own` says, and from `outer` what it leaves out.
Provenance inherited(const Provenance& outer, const OriginRecord& own);
/// The same of what stands under one of its keys.
Provenance inherited(const Provenance& outer, const OriginRecord& own, std::string_view key);

struct ThresholdRecord : OriginRecord {
    Span<Volts> supply;
    std::optional<Level> low, high;
    std::optional<Span<Volts>> rising, falling;
};
struct TransitionRecord : OriginRecord {
    Span<Volts> supply;
    std::optional<SecondsPerVolt> per_volt;
    std::optional<Seconds> total;
};
struct DriveRecord : OriginRecord {
    Span<Volts> supply;
    Amps at;
    Level level;
};
struct PullRecord : OriginRecord {
    bool up = true;
    Span<Ohms> ohms;
    bool removable = false, at_reset = false;
};
struct LoadRecord : OriginRecord {
    bool to_supply = true;
    std::optional<Span<Volts>> forward;
    Span<Ohms> ohms;
    std::optional<Span<Amps>> on_above, off_below;
    std::string consequence;
    bool inductive = false;
};

struct IvRecord {
    std::vector<double> volts, milliamps;
};
struct SwitchingRecord {
    Seconds duration;
    std::vector<double> up, down;
};
struct CornerRecord {
    Volts supply;
    std::optional<IvRecord> pull_up, pull_down, supply_clamp, ground_clamp;
    std::optional<SwitchingRecord> rising, falling;
};
struct CurvesRecord : OriginRecord {
    std::optional<CornerRecord> slow, fast;
    CornerRecord typical;
};

struct PinRecord : OriginRecord {
    Place place;
    bool unread = false;  ///< no table: nothing follows from what it lacks
    FieldPlaces keys;
    std::optional<std::string> like, supply, note, reset;
    std::optional<PinRole> is;
    std::optional<Level> max, min, max_unpowered, static_low, full_scale;
    std::optional<LevelRange> range;
    std::optional<Span<Volts>> high_below_supply, low_above_ground;
    std::optional<std::vector<ThresholdRecord>> thresholds;
    std::optional<bool> schmitt, must_be_tied;
    std::optional<std::vector<TransitionRecord>> transition;
    std::optional<std::vector<DriveRecord>> high, low;
    std::optional<Span<Amps>> drive_max, clamp_max, injection, leakage, input_low, input_high;
    std::optional<std::string> clamps, flyback;
    std::optional<Span<Volts>> clamp_forward, analog_range;
    std::optional<Span<Farads>> capacitance;
    std::optional<std::vector<PullRecord>> pulls;
    std::optional<Seconds> delay;
    std::optional<Span<Seconds>> rise_time, fall_time;
    std::optional<CurvesRecord> curves;
    std::optional<Span<Ohms>> source_ohms_max, output_ohms;
    std::optional<LoadRecord> load;
};

struct SupplyRecord : OriginRecord {
    Place place;
    std::optional<Span<Volts>> range, max, provides;
    std::optional<Span<Amps>> current, limit;
    std::optional<PinList> pins;
    std::optional<bool> decoupling;
    std::optional<Word> at_most;
};

struct ChannelRecord {
    Place place;
    std::optional<ChannelLogic> logic;
    PinList from, to, also, enable, enable_each;
    PinList plus, minus, out;  ///< comparators and operational amplifiers
    std::optional<Word> direction;
};

struct DiodeRecord : OriginRecord {
    Span<Volts> forward;
    std::optional<Amps> at;
    std::optional<Span<Amps>> current_max;
    std::optional<Volts> reverse_max;
    bool led = false;
};
struct ResistorRecord : OriginRecord {
    double tolerance = 0.05;
    Watts power{0.25};
};
struct CapacitorRecord : OriginRecord {};
struct BjtRecord : OriginRecord {
    bool pnp = false;
    Span<double> beta;
    std::optional<Span<Volts>> vbe;
    std::optional<Span<Amps>> current_max;
    std::optional<Volts> vce_max;
};
struct MosfetRecord : OriginRecord {
    bool p_channel = false;
    Span<Volts> vth;
    Span<Ohms> rds;
    Volts rds_at;
    std::optional<Span<Volts>> body_forward;
    std::optional<Span<Amps>> current_max;
    std::optional<Volts> vds_max, vgs_max;
    std::optional<Span<Farads>> gate_capacitance;
};
struct OptoRecord : OriginRecord {
    Span<Volts> forward;
    Span<double> ctr;
    std::optional<Span<Amps>> led_max;
    std::optional<Seconds> turn_off;
    std::optional<Volts> vce_max;
};
struct AmplifierRecord : OriginRecord {
    std::optional<Span<Volts>> headroom_top, headroom_bottom;
    bool open_collector = false;
};
struct PassGateRecord : OriginRecord {
    Span<Volts> vth;
    Span<Ohms> on;
    std::optional<Span<Ohms>> pull_a, pull_b;
};
struct KeeperRecord : OriginRecord {
    Span<Ohms> ohms;
};

struct TypeRecord : OriginRecord {
    Place place;
    FieldPlaces keys;
    std::optional<std::string> like, title, note;
    std::optional<PartKind> kind;
    std::optional<bool> invented;
    std::optional<Hertz> rate_max;
    std::optional<double> price;
    std::optional<Span<Amps>> package_current_max;
    std::vector<Named<SupplyRecord>> supplies;
    std::vector<Named<PinRecord>> pins;
    std::vector<Named<PinList>> packages;
    std::vector<ChannelRecord> channels;
    std::optional<ResistorRecord> resistor;
    std::optional<CapacitorRecord> capacitor;
    std::optional<DiodeRecord> diode;
    std::optional<BjtRecord> bjt;
    std::optional<MosfetRecord> mosfet;
    std::optional<OptoRecord> opto;
    std::optional<AmplifierRecord> comparator, op_amp;
    std::optional<PassGateRecord> pass_gate;
    std::optional<KeeperRecord> keeper;
};

enum class OutputGroup { standard, bus, open_drain };

struct FunctionRecord : OriginRecord {
    Place place;
    std::string title;
    std::optional<std::string> note;
    OutputGroup output = OutputGroup::standard;
    bool schmitt = false;
    std::vector<Named<PinList>> packages;
    std::vector<ChannelRecord> channels;
    PinList controls, outputs, side_b;
    std::optional<Hertz> rate_max;
};

/// What a family says, or an exception from it for some functions.
struct FamilyPart : OriginRecord {
    Place place;
    FieldPlaces keys;
    std::optional<std::string> title, note;
    std::optional<SupplyRecord> supply, supply_a, supply_b;
    std::optional<PinRecord> input, schmitt, output, bus, open_drain;
    std::optional<Span<Amps>> package_current_max;
    std::optional<double> price;
    std::optional<Hertz> rate_max;
    std::optional<WordList> packages;
};

struct FamilyRecord : FamilyPart {
    WordList functions;
    std::vector<Named<FamilyPart>> exceptions;  ///< name: the functions, separated by blanks
};

struct PartFile {
    std::optional<std::string> about;
    std::vector<std::string> include;  ///< read by whoever reads the file; the core opens none
    std::vector<Named<PinRecord>> traits;
    std::vector<Named<TypeRecord>> types;
    std::vector<Named<FunctionRecord>> functions;
    std::vector<Named<FamilyRecord>> families;
};

const Shape<PinRecord>& pin_shape();
const Shape<SupplyRecord>& supply_shape();
const Shape<ChannelRecord>& channel_shape();
/// For a field `types` of another file: `named(record(type_shape()))`.
const Shape<TypeRecord>& type_shape();
const Shape<FunctionRecord>& function_shape();
const Shape<FamilyRecord>& family_shape();
const Shape<PartFile>& part_file_shape();

/// JSON Schema (draft 2020-12) of a part file, from the description that reads it.
std::string part_file_schema();

template <>
struct TypeOf<Certainty> {
    static Type<Certainty> get();
};
template <>
struct TypeOf<Word> {
    static Type<Word> get();
};

template <>
struct TypeOf<FromMemory> {
    static Type<FromMemory> get();
};
template <>
struct TypeOf<KeyWords> {
    static Type<KeyWords> get();
};
/// Refuses a key in `from_memory` or `only_typical` that stands nowhere in the table.
void check_origin(const Value& table, const OriginRecord& record, Reader& reader);

/// The keys `source`, `certainty`, `from_memory` and `only_typical`.
template <class T>
void add_origin(Shape<T>& shape) {
    shape.optional("source", static_cast<std::optional<std::string> T::*>(&T::source),
                   "document, table and revision, or who measured when", "\"SCLS020H, table 5.3\"");
    shape.optional("certainty", static_cast<std::optional<Certainty> T::*>(&T::certainty),
                   "how far the numbers can be trusted", "\"guaranteed\"");
    shape.optional("from_memory", static_cast<std::optional<FromMemory> T::*>(&T::from_memory),
                   "the printed source was not at hand, at all or for what stands under these keys",
                   "\"delay capacitance\"");
    shape.optional("only_typical", static_cast<std::optional<KeyWords> T::*>(&T::only_typical),
                   "what stands under these keys is printed as typical, without a limit", "\"capacitance\"");
    shape.check([](const Value& table, T& record, Reader& reader) { check_origin(table, record, reader); });
}

}  // namespace voltsill
