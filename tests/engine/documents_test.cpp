// JSON documents against their schema, and against the values they were made from.
// RFC 8259: text is UTF-8 (8.1), control characters are escaped (7), no number is infinite (6).
#include <gtest/gtest.h>

#include <cmath>
#include <functional>
#include <limits>
#include <set>

#include "sample.h"
#include "schema_check.h"

namespace {

using namespace sample;
using nlohmann::json;

std::vector<PartType> types_with_models() {
    const Figure<Volts> volts{Span<Volts>::exactly(Volts{0.7}), printed};
    const Figure<Amps> amps{Span<Amps>::exactly(Amps{0.2}), printed};
    const Figure<Ohms> ohms{Span<Ohms>::exactly(Ohms{2}), printed};
    const Figure<double> ratio{Span<double>::between(50, 300), printed};
    const Figure<Farads> farads{Span<Farads>::exactly(Farads{50e-12}), printed};
    const std::vector<Model> models = {
        std::monostate{},
        ResistorModel{},
        CapacitorModel{Farads{100e-9}},
        DiodeModel{volts, Amps{1e-3}, amps, Volts{40}, true},
        BjtModel{false, ratio, volts, amps, Volts{40}},
        MosfetModel{false, volts, ohms, Volts{4.5}, volts, amps, Volts{50}, Volts{20}, farads},
        OptoModel{volts, ratio, amps, Seconds{1e-5}, Volts{30}},
        AmplifierModel{volts, {}, true},
        PassGateModel{volts, ohms, ohms, {}},
        KeeperModel{ohms}};
    EXPECT_EQ(models.size(), std::variant_size_v<Model>);
    std::vector<PartType> out;
    for (const Model& model : models) {
        PartType type = *buffer();
        type.model = model;
        out.push_back(std::move(type));
    }
    return out;
}

std::vector<std::string> every_document() {
    std::vector<std::string> out = {to_json(check_result()),    to_json(refused()),
                                    to_json(plan_result()),     to_json(PlanResult{}),
                                    to_json(readings_result()), to_json(ReadingsResult{}),
                                    to_json(Problems{}),        to_json(refused().problems)};
    std::vector<const PartType*> list;
    const std::vector<PartType> types = types_with_models();
    for (const PartType& type : types) {
        out.push_back(to_json(type));
        list.push_back(&type);
    }
    out.push_back(parts_to_json(list));
    return out;
}

TEST(Documents, EveryOneMatchesTheClosedSchema) {
    for (const std::string& text : every_document())
        EXPECT_EQ(complaint(parsed(text)), "") << text.substr(0, 200);
}

// Whatever required member is taken away anywhere, the schema notices: it describes, not decorates.
void without_each(const json& document, const json::json_pointer& at,
                  const std::function<void(const std::string&)>& use) {
    const json& here = document.at(at);
    if (here.is_object())
        for (const auto& [key, value] : here.items()) {
            json less = document;
            less.at(at).erase(key);
            if (complaint(less).empty()) use((at / key).to_string());
            without_each(document, at / key, use);
        }
    else if (here.is_array() && !here.empty())
        without_each(document, at / std::size_t{0}, use);
}

TEST(Documents, NoMemberOfAResultMayBeMissing) {
    for (const std::string& text : {to_json(check_result()), to_json(refused()), to_json(plan_result()),
                                    to_json(readings_result()), to_json(refused().problems)})
        without_each(parsed(text), json::json_pointer(),
                     [](const std::string& path) { ADD_FAILURE() << path << " is not required"; });
}

TEST(Documents, SchemaRefusesUnknownMembersWordsAndTypes) {
    const json good = parsed(to_json(check_result()));
    const std::vector<std::pair<const char*, json>> wrong = {
        {"/judgement/verdict", "fine"},          {"/judgement/findings/0/value/unit", "V"},
        {"/judgement/findings/0/colour", "red"}, {"/bench/rails/0/volts/certainty", "sure"},
        {"/judgement/links/0/findings/0", 0.5},  {"/wiring/nets/0/ground", "yes"},
        {"/format", "voltsill-check-0"},         {"/wiring_from", "plan"}};
    for (const auto& [path, value] : wrong) {
        json bad = good;
        bad[json::json_pointer(path)] = value;
        EXPECT_NE(complaint(bad), "") << path;
    }
}

TEST(Documents, FindingHasSiValueUnitCertaintySourceAndPlace) {
    const json finding = parsed(to_json(check_result()))["judgement"]["findings"][0];
    EXPECT_EQ(finding["value"]["value"], 5.25);
    EXPECT_EQ(finding["value"]["unit"], "volt");
    EXPECT_EQ(finding["limit"]["certainty"], "guaranteed");
    EXPECT_EQ(finding["limit"]["source"], printed.source);
    EXPECT_EQ(finding["margin"]["value"], -1.65);
    EXPECT_EQ(finding["place"]["line"], 12);
}

TEST(Documents, FindingWithoutNumbersHasNoMargin) {
    const json findings = parsed(to_json(check_result()))["judgement"]["findings"];
    EXPECT_TRUE(findings[4]["margin"].is_null());
    EXPECT_TRUE(findings[4]["link"].is_null());
    EXPECT_TRUE(findings[4]["place"].is_null());  // U9 is in no file
    EXPECT_EQ(findings[3]["place"]["line"], 4);   // rail logic
}

TEST(Documents, UnknownFigureHasNoNumbers) {
    const json volts = parsed(to_json(check_result()))["bench"]["rails"][1]["volts"];
    EXPECT_TRUE(volts["lo"].is_null() && volts["nominal"].is_null() && volts["hi"].is_null());
    EXPECT_EQ(volts["certainty"], "unknown");
    EXPECT_EQ(volts["unit"], "volt");
}

TEST(Documents, PlanKeepsEveryCandidateNetWireAndPart) {
    const PlanResult result = plan_result();
    const Plan& plan = result.plan;
    const json out = parsed(to_json(result));
    ASSERT_EQ(out["links"].size(), plan.links.size());
    for (size_t k = 0; k < plan.links.size(); ++k) {
        EXPECT_EQ(out["links"][k]["rejected"].size(), plan.links[k].rejected.size());
        EXPECT_EQ(out["links"][k]["chosen"].is_null(), !plan.links[k].chosen);
    }
    EXPECT_EQ(out["links"][0]["rejected"][0]["why_not"], "5.25 V on 3.6 V");
    EXPECT_EQ(out["wiring"]["nets"].size(), plan.wiring.nets.size());
    EXPECT_EQ(out["wiring"]["parts"].size(), plan.wiring.parts.size());
    EXPECT_EQ(out["wiring"]["wires"].size(), wire_list(plan.wiring).size());
    EXPECT_EQ(out["wiring"]["parts_list"].size(), parts_list(plan.wiring).size());
    EXPECT_EQ(out["judgement"]["findings"].size(), plan.judgement.findings.size());
    EXPECT_EQ(out["before"]["links"].size(), plan.before.links.size());
    EXPECT_EQ(out["notes"].size(), plan.notes.size());
}

// Read back, the nets alone and the parts alone tell the same wiring.
TEST(Documents, NetsAndPartsOfAWiringAgree) {
    const PlanResult result = plan_result();
    const json wiring = parsed(to_json(result))["wiring"];
    std::set<std::string> by_net, by_part;
    const auto words = [](const json& net, const json& part, const json& pin) {
        return net.get<std::string>() + ": " + part.get<std::string>() + "." + pin.get<std::string>();
    };
    for (const json& net : wiring["nets"])
        for (const json& end : net["pins"]) by_net.insert(words(net["name"], end["part"], end["pin"]));
    for (const json& part : wiring["parts"])
        for (const json& pin : part["pins"])
            if (!pin["net"].is_null()) by_part.insert(words(pin["net"], part["name"], pin["pin"]));
    EXPECT_EQ(by_net, by_part);
    EXPECT_EQ(by_net.size(), 14u);  // 3 + 3 + 6 of 7 + 2 pins on nets
}

TEST(Documents, AddedPartTellsPinNumbersValueAndSpareChannels) {
    const PlanResult result = plan_result();
    const json parts = parsed(to_json(result))["wiring"]["parts"];
    EXPECT_EQ(parts[2]["spare_channels"], json::array({"2"}));
    EXPECT_EQ(parts[2]["pins"][0]["numbers"], json::array({8}));  // VCC of DIP-8
    EXPECT_EQ(parts[2]["package"], "DIP-8");
    EXPECT_EQ(parts[3]["value"], json({{"value", 4700.0}, {"unit", "ohm"}}));
    EXPECT_EQ(parts[3]["tolerance"], json({{"value", 0.01}, {"unit", "one"}}));
    EXPECT_EQ(parts[0]["spare_channels"], json::array());
}

TEST(Documents, PinsLeaveOutWhatTheyDoNotState) {
    const json part = parsed(to_json(*buffer()))["part"];
    EXPECT_TRUE(part["pins"][2].contains("thresholds"));
    EXPECT_FALSE(part["pins"][3].contains("thresholds"));
    EXPECT_FALSE(part["pins"][3].contains("capacitance"));
    EXPECT_EQ(part["pins"][2]["pulls"][0]["ohms"]["from_memory"], true);
    EXPECT_EQ(part["packages"][0]["pins"][4], nullptr);
    EXPECT_EQ(part["channels"][0]["enables"][0], json({{"pin", "/OE"}, {"active", "low"}}));
}

TEST(Documents, NumbersThatAreNotFiniteBecomeNull) {
    CheckResult result = check_result();
    const double inf = std::numeric_limits<double>::infinity();
    result.judgement.findings[0].value->value = std::nan("");
    result.judgement.findings[0].margin = -inf;
    result.judgement.links[0].levels[0].hi = inf;
    const json out = parsed(to_json(result));
    EXPECT_TRUE(out["judgement"]["findings"][0]["value"]["value"].is_null());
    EXPECT_TRUE(out["judgement"]["findings"][0]["margin"]["value"].is_null());
    EXPECT_TRUE(out["judgement"]["links"][0]["levels"][0]["volts"]["hi"].is_null());
    EXPECT_EQ(complaint(out), "");
}

// Not UTF-8: a lone continuation byte, an overlong form, half a sequence (Unicode 15, table 3-7).
TEST(Documents, HostileNamesStayValidJson) {
    for (const std::string& name :
         {std::string("a\x80z"), std::string("\xC0\xAF"), std::string("\xE2\x82"), std::string("nul\0in", 6),
          std::string("\x01\x1F\x7F\"\\\n"), std::string("Ω ✓")}) {
        CheckResult result = check_result();
        result.bench->title = result.bench->links[0].name = result.judgement.links[0].link = name;
        const std::string text = to_json(result);
        EXPECT_TRUE(std::ranges::none_of(
            text, [](char c) { return static_cast<unsigned char>(c) < 0x20 && c != '\n'; }));
        const json out = parsed(text);  // refuses what is no UTF-8
        EXPECT_EQ(complaint(out), "");
        EXPECT_EQ(out["bench"]["title"], out["judgement"]["links"][0]["link"]);
    }
    CheckResult result = check_result();
    result.bench->title = "a\x80z";
    EXPECT_EQ(parsed(to_json(result))["bench"]["title"], "a\uFFFDz");
}

TEST(Documents, RefusedInputHasProblemsOnly) {
    const json out = parsed(to_json(refused()));
    EXPECT_EQ(out["accepted"], false);
    EXPECT_EQ(out.size(), 3u);
    EXPECT_EQ(out["problems"][0]["nearest"], "volts");
    EXPECT_EQ(out["problems"][0]["other_place"]["line"], 2);
    EXPECT_TRUE(out["problems"][1]["place"].is_null());
    EXPECT_EQ(out["problems"][1]["file"], "benches/two rails.toml");
}

TEST(ExitCode, FollowsTheWorstVerdictUnlessTheInputIsRefused) {
    const Problems warning = {{.severity = Severity::warning}}, error = {{.severity = Severity::error}};
    EXPECT_EQ(exit_code({}, Verdict::safe), 0);
    EXPECT_EQ(exit_code(warning, Verdict::thin), 0);
    EXPECT_EQ(exit_code({}, Verdict::unknown), 1);
    EXPECT_EQ(exit_code({}, Verdict::unreadable), 1);
    EXPECT_EQ(exit_code(warning, Verdict::harmful), 1);
    EXPECT_EQ(exit_code(error, Verdict::safe), 3);
    EXPECT_EQ(exit_code(error, Verdict::harmful), 3);
}

}  // namespace
