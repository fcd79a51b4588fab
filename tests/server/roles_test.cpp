// Every role against every call, from docs/openapi.json: what is not for a role is refused before anything is done.
#include "classroom.h"
#include "server/routes.h"

namespace {
using namespace voltsill::testing;
using nlohmann::json;

json all_calls() {
    return json::parse(text_of(std::string(VOLTSILL_ROOT) + "/docs/openapi.json"))["paths"];
}

std::string target_of(std::string path) {
    const std::size_t at = path.find("{name}");
    return at == std::string::npos ? path : path.replace(at, 6, "drawing.css");
}

/// How a refusal begins: "401 not-signed-in"; "let in" for everything a handler says.
std::string met(Person& person, const std::string& method, const std::string& path, const Headers& more = {}) {
    std::string large = method;
    for (char& c : large) c = static_cast<char>(std::toupper(c));
    Client client(person.port());
    client.send(person.bytes(large, target_of(path), method == "get" ? json(nullptr) : json::object(), more));
    const Reply head = client.head();
    if (head.status == 303) return "303";
    if (head.headers.contains("transfer-encoding") || head.status == 200) return "let in";
    std::string code;
    if (head.headers.at("content-type") == "application/json") {
        Client again(person.port());
        again.send(person.bytes(large, target_of(path), method == "get" ? json(nullptr) : json::object(), more));
        code = again.reply().code();
    }
    for (const char* refusal :
         {"not-signed-in", "not-yours", "no-such-call", "wrong-token", "wrong-host", "wrong-origin"})
        if (code == refusal) return std::to_string(head.status) + " " + code;
    return "let in";
}

std::string expected(const std::string& whom, const std::string& role, const std::string& path) {
    const bool in_class = role != "maker";
    if (whom == "everyone") return "let in";
    if (!in_class) return whom == "maker" ? "let in" : "404 no-such-call";
    if (whom == "visitor" || role == (whom == "maker" ? "instructor" : whom)) return "let in";
    if (path == "/") return "303";
    return role == "nobody" ? "401 not-signed-in" : "403 not-yours";
}

TEST(Roles, EveryRoleAgainstEveryCall) {
    Classroom c;
    const json calls = all_calls();
    int tried = 0, seat = 0;
    for (const auto& [path, methods] : calls.items())
        for (const auto& [method, operation] : methods.items()) {
            const std::string whom = operation["x-role"];
            Person nobody = c.person(), learner = c.learner("L" + std::to_string(++seat));
            if (!c.instructor.signed_in()) {
                ASSERT_TRUE(c.instructor.sign_in());
            }
            EXPECT_EQ(met(nobody, method, path), expected(whom, "nobody", path)) << method << " " << path;
            EXPECT_EQ(met(learner, method, path), expected(whom, "learner", path)) << method << " " << path;
            EXPECT_EQ(met(c.instructor, method, path), expected(whom, "instructor", path)) << method << " " << path;
            tried += 3;
            if (method == "get" || whom == "visitor") continue;
            // Whoever may, but does not say the token, or says another's: a foreign page that sends cookies along.
            Person& owner = whom == "learner" ? learner : c.instructor;
            if (path == "/api/class/leave" || path == "/api/class/sign-out") continue;  // done above: gone
            for (const std::string& token : {std::string(), std::string(64, 'a'), nobody.token()})
                EXPECT_EQ(met(owner, method, path, {{"X-Voltsill-Token", token}}), "401 wrong-token") << path;
            EXPECT_EQ(met(owner, method, path, {{"Origin", "http://elsewhere.example"}}), "403 wrong-origin") << path;
        }
    EXPECT_GT(tried, 100);
}

TEST(Roles, WithoutAClassItsCallsAreNotThere) {
    Served served;
    Person maker(served.port(), served.server().token());
    const json calls = all_calls();  // kept: what `items()` goes through is not, in a loop's head
    for (const auto& [path, methods] : calls.items())
        for (const auto& [method, operation] : methods.items())
            EXPECT_EQ(met(maker, method, path), expected(operation["x-role"], "maker", path)) << method << " " << path;
}

}  // namespace
