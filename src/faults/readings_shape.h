#pragma once
/// A readings file as written, before names are looked up: one record per table. Used inside the room only.
#include "bench/bench_records.h"
#include "faults/fault.h"
#include "quantity/parse.h"
#include "records/shape.h"

namespace voltsill {

/// "0.5 % + 2 mV": a share of the reading and a floor, SI.
struct MeterErrorRecord {
    std::optional<double> share, floor;
};

struct MeterRecord {
    std::optional<MeterErrorRecord> volts, ohms;
    std::optional<double> seconds;
};

struct ReadingRecord {
    Place place;
    FieldPlaces keys;
    std::optional<Text> at, look, supply_of, reads, when, of, shows;
    std::vector<Text> between;
    std::optional<bool> as_planned, dips;
};

struct SeenRecord {
    Place place;
    FieldPlaces keys;
    std::optional<Text> link, part, what;
    bool is = true;
};

struct DiagnosisRecord {
    bool pairs = false;
};

struct WeightRecord {
    Place place;
    double weight = 1;
};

struct ReadingsRecord {
    FieldPlaces keys;
    MeterRecord meter;
    std::vector<ReadingRecord> readings;
    std::vector<SeenRecord> seen;
    std::vector<Named<double>> weights;
    DiagnosisRecord options;
};

const Shape<ReadingsRecord>& readings_shape();

}  // namespace voltsill
