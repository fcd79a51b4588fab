/// Functions, families and the part file as a whole, as written.
#include "parts/shape_tools.h"

namespace voltsill {
namespace {

template <class T>
void add_family_fields(Shape<T>& s) {
    const auto group = [&](const char* key, std::optional<PinRecord> FamilyPart::*member, const char* about) {
        s.optional(key, member_of<T>(member), about, "", record(pin_shape()));
    };
    const auto supply = [&](const char* key, std::optional<SupplyRecord> FamilyPart::*member,
                            const char* about) {
        s.optional(key, member_of<T>(member), about, R"({ "range": "4.5..5.5 V" })", record(supply_shape()));
    };
    s.place(member_of<T>(&FamilyPart::place)).places(member_of<T>(&FamilyPart::keys));
    s.optional("title", member_of<T>(&FamilyPart::title), "what it is",
               "\"high-speed CMOS, TTL thresholds\"");
    s.optional("note", member_of<T>(&FamilyPart::note), "shown with the part", "");
    supply("supply", &FamilyPart::supply, "its supply");
    supply("supply_a", &FamilyPart::supply_a, "VCCA of parts with two supplies");
    supply("supply_b", &FamilyPart::supply_b, "VCCB of parts with two supplies");
    group("input", &FamilyPart::input, "every input and control pin");
    group("schmitt", &FamilyPart::schmitt,
          "inputs of Schmitt functions; builds on input without its edge limits");
    group("output", &FamilyPart::output, "outputs");
    group("bus", &FamilyPart::bus, "outputs of bus functions; builds on output");
    group("open_drain", &FamilyPart::open_drain, "outputs of open-drain functions; builds on output");
    s.optional("package_current_max", member_of<T>(&FamilyPart::package_current_max),
               "absolute maximum current through supply or ground pins", "\"50 mA\"");
    s.optional("price", member_of<T>(&FamilyPart::price), "relative price", "1", number(0.0));
    s.optional("rate_max", member_of<T>(&FamilyPart::rate_max), "highest useful data rate", "\"10 MHz\"");
    s.optional("packages", member_of<T>(&FamilyPart::packages), "kinds of package it is sold in",
               "\"DIP SOIC\"");
    add_origin(s);
}

const Shape<FamilyPart>& exception_shape() {
    static const auto shape = [] {
        Shape<FamilyPart> s("family exception", "What differs for some functions of a family");
        add_family_fields(s);
        return s;
    }();
    return shape;
}

}  // namespace

const Shape<FunctionRecord>& function_shape() {
    static const auto shape = [] {
        Shape<FunctionRecord> s("function", "What the pins of a logic part do, whatever the family");
        s.place(&FunctionRecord::place);
        s.required("title", &FunctionRecord::title, "what it is", "\"octal buffer, three-state\"");
        s.optional("note", &FunctionRecord::note, "shown with the part", "");
        s.optional("output", &FunctionRecord::output, "output group of the family", "\"bus\"",
                   choice<OutputGroup>({{"standard", OutputGroup::standard},
                                        {"bus", OutputGroup::bus},
                                        {"open-drain", OutputGroup::open_drain}}));
        s.optional("input", &FunctionRecord::schmitt, "input group of the family", "\"schmitt\"",
                   choice<bool>({{"standard", false}, {"schmitt", true}}));
        s.required("packages", &FunctionRecord::packages, "pin names in the order of their numbers",
                   R"({ "DIP-14": "1A 1Y ..." })");
        s.optional("channels", &FunctionRecord::channels, "paths through the part", "",
                   list(record(channel_shape())));
        s.optional("controls", &FunctionRecord::controls, "inputs outside the channels", "\"CLK /RST\"");
        s.optional("outputs", &FunctionRecord::outputs, "outputs outside the channels", "\"QA QB\"");
        s.optional("side_b", &FunctionRecord::side_b, "pins that follow VCCB", "\"B1..B8\"");
        s.optional("rate_max", &FunctionRecord::rate_max, "highest useful data rate", "\"10 MHz\"");
        add_origin(s);
        return s;
    }();
    return shape;
}

const Shape<FamilyRecord>& family_shape() {
    static const auto shape = [] {
        Shape<FamilyRecord> s("family", "How the parts of a logic family behave electrically");
        add_family_fields(s);
        s.required("functions", &FamilyRecord::functions, "functions it is made in", "\"00 04 541\"");
        s.optional("for", &FamilyRecord::exceptions, "exceptions for functions", "",
                   named(record(exception_shape())));
        return s;
    }();
    return shape;
}

const Shape<PartFile>& part_file_shape() {
    static const auto shape = [] {
        Shape<PartFile> s("part file", "Parts, pin traits and logic families");
        s.optional("about", &PartFile::about, "purpose, sources, what is guaranteed and what stands in", "");
        s.optional("include", &PartFile::include, "further part files that this one builds on", "[\"more.toml\"]",
                   one_or_more<std::string>());
        s.optional("traits", &PartFile::traits, "how pins behave", "", named(record(pin_shape())));
        s.optional("types", &PartFile::types, "whole parts", "", named(record(type_shape())));
        s.optional("functions", &PartFile::functions, "what logic parts do", "",
                   named(record(function_shape())));
        s.optional("families", &PartFile::families, "how logic parts behave", "",
                   named(record(family_shape())));
        return s;
    }();
    return shape;
}

std::string part_file_schema() { return json_schema(part_file_shape()); }

}  // namespace voltsill
