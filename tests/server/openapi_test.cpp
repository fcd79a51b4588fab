// docs/openapi.json against the server, both ways: the same calls, and answers as described.
#include <algorithm>
#include <map>
#include <set>

#include "engine/engine.h"
#include "served.h"
#include "server/routes.h"
#include "support/schema_check.h"

namespace {
using namespace voltsill::testing;
using voltsill::test::SchemaCheck;
using nlohmann::json;

const json& described() {
    static const json document = json::parse(text_of(std::string(VOLTSILL_ROOT) + "/docs/openapi.json"));
    return document;
}

std::string described_path(std::string_view path) {
    return path.ends_with('*') ? std::string(path.substr(0, path.size() - 1)) + "{name}" : std::string(path);
}

std::string small_letters(std::string text) {
    for (char& c : text) c = static_cast<char>(std::tolower(c));
    return text;
}

constexpr const char* role_words[] = {"everyone", "visitor", "learner", "instructor", "maker"};

bool asks_for_token(const json& operation) {
    const json schemes = operation.value("security", json::array());
    return std::ranges::any_of(schemes, [](const json& scheme) { return scheme.contains("token"); });
}

TEST(OpenApi, DescribesTheTableOfRoutes) {
    std::set<std::string> ours, theirs;
    for (const auto& route : voltsill::server::routes()) {
        const std::string path = described_path(route.path), method = small_letters(std::string(route.method));
        ours.insert(method + " " + path);
        const json operation = described()["paths"].value(path, json::object()).value(method, json::object());
        EXPECT_EQ(asks_for_token(operation), route.needs_token) << path;
        EXPECT_EQ(operation.value("x-role", ""), role_words[static_cast<int>(route.whom)]) << path;
        EXPECT_EQ(operation.contains("requestBody"), route.most_body > 0) << path;
    }
    for (const auto& [path, methods] : described()["paths"].items())
        for (const auto& [method, operation] : methods.items()) theirs.insert(method + " " + path);
    EXPECT_EQ(ours, theirs);
}

/// A piece of the description as a schema of its own. Pieces of the other file stand under "$defs".
std::unique_ptr<SchemaCheck> check_of(const json& schema, bool closed) {
    static const json results = json::parse(voltsill::result_schema());
    const json whole = {{"allOf", {schema}}, {"components", described()["components"]}, {"$defs", results["$defs"]}};
    std::string text = whole.dump();
    const std::string other = "result.schema.json#";
    for (std::size_t at; (at = text.find(other)) != std::string::npos;) text.replace(at, other.size(), "#");
    return std::make_unique<SchemaCheck>(text, closed);
}

const SchemaCheck& cached_check(const json& schema, bool closed) {
    static std::map<std::string, std::unique_ptr<SchemaCheck>> checks;
    const std::string key = schema.dump() + (closed ? "closed" : "");
    std::unique_ptr<SchemaCheck>& check = checks[key];
    if (!check) check = check_of(schema, closed);
    return *check;
}

/// Calls made by the test, and which answers of the description came back.
class Described {
  public:
    void call(const std::string& method, const std::string& target, int status, const json& body = nullptr,
              const Headers& more = {}) {
        SCOPED_TRACE(method + " " + target + " " + std::to_string(status));
        const std::string path = path_of(target), name = small_letters(method);
        const json& operation = described()["paths"][path][name];
        if (!body.is_null() && status != 400) {
            const json& schema = operation["requestBody"]["content"]["application/json"]["schema"];
            EXPECT_EQ(cached_check(schema, false).complaint(body), "");
        }
        Client client = s.sent(request_bytes(s.port(), method, target, body.is_null() ? "" : body.dump(),
                                             s.with_token(more)));
        const json answer = operation["responses"].value(std::to_string(status), json());
        ASSERT_TRUE(answer.is_object()) << "is not described";
        seen.insert(name + " " + path + " " + std::to_string(status));
        const std::string type = answer["content"].begin().key();
        if (type == "text/event-stream")
            return follow(client, answer["content"][type]["x-events"], status);
        const Reply reply = client.reply();
        ASSERT_EQ(reply.status, status) << reply.body;
        EXPECT_TRUE(type == "*/*" || reply.headers.at("content-type").starts_with(type));
        if (type != "application/json") return;
        EXPECT_EQ(cached_check(answer["content"][type]["schema"], true).complaint(reply.json()), "");
    }

    Served s;
    std::set<std::string> seen;

  private:
    static std::string path_of(const std::string& target) {
        const std::string path = target.substr(0, target.find('?'));
        return path.starts_with("/assets/") ? "/assets/{name}" : path;
    }
    static void follow(Client& client, const json& events, int status) {
        ASSERT_EQ(client.head().status, status);
        const bool ends = events.contains("end");
        std::set<std::string> names;
        for (Event event = client.event(); !event.name.empty(); event = client.event()) {
            ASSERT_TRUE(events.contains(event.name)) << event.name;
            EXPECT_EQ(cached_check(events[event.name], true).complaint(json::parse(event.data)), "");
            names.insert(event.name);
            if (event.name == "end" || !ends) break;
        }
        EXPECT_EQ(ends, names.contains("end"));
        EXPECT_EQ(ends, names.contains("result"));
    }
};

TEST(OpenApi, AnswersAreAsDescribed) {
    Described d;
    d.s.folder().write("bench.toml", small_bench);
    d.s.folder().write("latin.toml", "\xff");
    d.s.folder().write("large.toml", std::string((8u << 20) + 1, ' '));
    const std::string text = example_text("first-bench");
    const auto ask = [&](json more = json::object()) {
        more["file"] = "bench.toml";
        if (!more.contains("text")) more["text"] = text;
        return more;
    };
    d.call("GET", "/", 200);
    d.call("GET", "/assets/drawing.css", 200);
    d.call("GET", "/assets/none", 404);
    d.call("GET", "/api/about", 200);
    d.call("GET", "/api/files", 200);
    d.call("GET", "/api/file?path=bench.toml", 200);
    d.call("GET", "/api/file?path=latin.toml", 415);
    d.call("GET", "/api/file?path=large.toml", 413);
    d.call("GET", "/api/file?path=none.toml", 404);
    d.call("GET", "/api/file?path=../none.toml", 403);
    d.call("PUT", "/api/file?path=new.toml", 200, {{"text", text}, {"base", nullptr}});
    d.call("PUT", "/api/file?path=new.toml", 409, {{"text", text}, {"base", nullptr}});
    d.call("PUT", "/api/file?path=gone.toml", 409, {{"text", text}, {"base", "0123"}});
    d.call("PUT", "/api/file?path=none/new.toml", 404, {{"text", text}});
    d.call("PUT", "/api/file?path=new.txt", 403, {{"text", text}});
    d.call("PUT", "/api/file?path=new.toml", 400, {{"text", 1}});
    d.call("GET", "/api/example?name=first-bench.toml", 200);
    d.call("GET", "/api/example?name=none.toml", 404);
    d.call("GET", "/api/events?file=bench.toml", 200);
    d.call("GET", "/api/parts", 200);
    d.call("GET", "/api/parts?search=open+collector", 200);
    d.call("POST", "/api/part", 200, ask({{"type", "HCT 541"}}));
    d.call("POST", "/api/part", 404, ask({{"type", "HCT 54"}}));
    for (const char* call : {"check", "plan", "readings", "report"}) {
        const std::string path = std::string("/api/") + call;
        d.call("POST", path, 200, ask());
        d.call("POST", path, 200, ask({{"text", "title = 1"}}));
        d.call("POST", path, 400, {{"file", "bench.toml"}});
        d.call("POST", path, 401, ask(), {{"X-Voltsill-Token", "wrong"}});
        d.call("POST", path, 403, ask(), {{"Host", "elsewhere.example"}});
        d.call("POST", path, 415, ask(), {{"Content-Type", "text/plain"}});
    }
    d.call("POST", "/api/report", 200, ask({{"of", "plan"}}));
    d.call("POST", "/api/report", 400, ask({{"of", "nonsense"}}));
    d.call("POST", "/api/edit", 200, ask({{"edits", {{{"do", "take-plan"}}, {{"do", "drop-wiring"}}}}}));
    d.call("POST", "/api/edit", 200, ask({{"edits", {{{"do", "remove"}, {"path", {"no", "such"}}}}}}));
    d.call("POST", "/api/edit", 400, ask({{"edits", "none"}}));
    d.call("POST", "/api/drawings", 200, ask());
    d.call("POST", "/api/drawings", 200, ask({{"text", "title = 1"}}));
    d.call("POST", "/api/drawings", 400, ask({{"links", 1}}));
    d.call("POST", "/api/build", 200, ask({{"slips", true}, {"boards", {"half"}}, {"seed", 3}}));
    d.call("POST", "/api/build", 200, ask({{"boards", {"no such board"}}}));
    d.call("POST", "/api/build", 400, ask({{"slips", 1}}));
    d.call("POST", "/api/trace", 200, ask({{"samples", 4}, {"rate", 1e6}, {"seed", 2}}));
    d.call("POST", "/api/trace", 200, ask({{"links", {"no such link"}}}));
    d.call("POST", "/api/trace", 400, ask({{"samples", -1}}));
    d.call("POST", "/api/diagnose", 200, ask({{"lines", {"first signal fails"}}, {"next", 3}, {"pairs", false}}));
    d.call("POST", "/api/diagnose", 200, ask({{"readings", "[[readings]]\nat = 1\n"}}));
    d.call("POST", "/api/diagnose", 200, ask({{"boards", {"no such board"}}}));
    d.call("POST", "/api/diagnose", 400, ask({{"lines", 1}}));
    d.call("POST", "/api/diagnose", 400, ask({{"next", 0}}));
    d.call("POST", "/api/diagnose", 401, ask(), {{"X-Voltsill-Token", "wrong"}});
    d.call("POST", "/api/sheets", 200, ask({{"for", "test"}, {"seats", 2}}));
    d.call("POST", "/api/sheets", 200, ask({{"boards", {"no such board"}}}));
    d.call("POST", "/api/sheets", 400, ask({{"for", "nobody"}}));
    d.call("POST", "/api/pdf", 200, ask({{"sheet", "build"}, {"paper", "letter"}}));
    d.call("POST", "/api/pdf", 422, ask({{"sheet", "none"}}));
    d.call("POST", "/api/pdf", 422, ask({{"text", "title = 1"}}));
    d.call("POST", "/api/pdf", 400, ask({{"paper", "a3"}}));
    for (const auto& [path, methods] : described()["paths"].items())
        for (const auto& [method, operation] : methods.items())
            if (operation["x-role"] == "maker" || operation["x-role"] == "everyone") {
                EXPECT_TRUE(d.seen.contains(method + " " + path + " 200")) << "never tried: " << method << " " << path;
            }
}

}  // namespace
