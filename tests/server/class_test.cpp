// A class over its sockets: people join, are helped, hand in, leave; and what each of them may see.
#include "first_lesson.h"
#include "server/listen.h"
#include "store/database.h"

namespace {
using namespace voltsill::testing;
using namespace voltsill::server;
using nlohmann::json;
using Wait = Client::Wait;

TEST(Class, LearnersAreToldRightOrNotAndNothingElse) {
    Classroom c;
    Person robin = c.learner("Robin");
    const json lesson = robin.get("/api/class/lesson").json();
    int checks = 0;
    for (const json& gate : lesson["gates"])
        for (const json& check : gate["checks"]) {
            EXPECT_EQ(check.size(), 7u) << check;
            for (const char* hidden : {"expected", "wrong", "lo", "hi", "level"}) EXPECT_FALSE(check.contains(hidden));
            ++checks;
        }
    EXPECT_EQ(checks, static_cast<int>(first_lesson().checks.size()));
    EXPECT_GT(lesson["steps"], 5);
    const json entered = robin.post("/api/class/reading", entering(first_of_gate(1), "0.3 Ω")).json();
    EXPECT_EQ(entered["learner"]["checks"][first_of_gate(1).id].size(), 4u);
    const json full = c.checks("Robin");
    ASSERT_EQ(full.size(), first_lesson().checks.size());
    for (const json& check : full) EXPECT_FALSE(check["expected"].get<std::string>().empty());
}

TEST(Class, HintsComeInDepthAndOnlyAfterAWrongReading) {
    Classroom c;
    Person robin = c.learner("Robin");
    const LessonCheck& check = first_of_gate(1);
    const auto hint = [&](int depth) { return robin.post("/api/class/hint", {{"check", check.id}, {"depth", depth}}); };
    EXPECT_EQ(hint(1).code(), "read-first");
    ASSERT_EQ(robin.post("/api/class/reading", entering(check, "0.3 Ω")).json()["right"], false);
    EXPECT_EQ(hint(2).code(), "hint-first");
    std::set<std::string> said;
    for (int depth = 1; depth <= 3; ++depth) said.insert(hint(depth).json()["hint"].get<std::string>());
    EXPECT_EQ(said.size(), 3u);
    EXPECT_EQ(hint(1).status, 200) << "again";
    EXPECT_EQ(c.row("Robin")["hints"], 3);
    robin.post("/api/class/reading", entering(check, right_entry(check)));
    EXPECT_EQ(hint(3).code(), "read-first") << "it is right now";
}

TEST(Class, BuildsAreMarkedKeptAndJudgedForHarm) {
    Classroom c;
    Person robin = c.learner("Robin");
    const auto submit = [&](const std::string& wires) {
        const Reply reply = robin.post("/api/class/submit", {{"wires", wires}});
        EXPECT_EQ(reply.status, 200) << reply.body;
        return reply.json()["build"];
    };
    const json held_back = submit(wire_list(0));
    for (const char* told : {"points", "harm", "as_planned"})
        EXPECT_TRUE(held_back[told].is_null()) << "until marks are shown";
    EXPECT_EQ(c.instructor.post("/api/class/settings", {{"hints", 3}, {"marks", true}}).status, 200);
    const json right = submit(wire_list(0));
    EXPECT_EQ(right["accepted"], true) << right;
    EXPECT_EQ(right["as_planned"], true) << right;
    EXPECT_EQ(right["harm"], "safe");
    EXPECT_TRUE(c.row("Robin")["danger"].is_null());
    const json wrong = submit(wire_list(1));
    EXPECT_EQ(wrong["as_planned"], false);
    ASSERT_EQ(wrong["mistakes"].size(), 1u);
    EXPECT_EQ(wrong["mistakes"][0]["gate"], 1) << "wire 1 is a ground: continuity shows it with the power off";
    EXPECT_EQ(c.instructor.get("/api/class/summary").json()["mistakes"][0]["gate"], 1) << "the class is told the same";
    EXPECT_LT(wrong["points"].get<double>(), right["points"].get<double>());
    EXPECT_EQ(c.row("Robin")["points"], wrong["points"]);
    EXPECT_EQ(c.row("Robin")["builds"], 3);
    EXPECT_EQ(robin.post("/api/class/submit", {{"wires", "no wires at all"}}).status, 422) << "nothing is handed in";
    EXPECT_EQ(robin.post("/api/class/submit", {{"wires", std::string(70'000, 'a')}}).status, 413);
    EXPECT_EQ(robin.get("/api/class/me/export").json()["learners"][0]["builds"][0]["wires"], wire_list(0));
    const json nameless = c.instructor.get("/api/class/export?anonymous=1").json();
    EXPECT_TRUE(nameless["learners"][0]["builds"][0]["wires"].is_null()) << "people write their names into files";
    EXPECT_EQ(c.instructor.get("/api/class/history").json()["now"]["submissions"], 3);
}

TEST(Class, StreamsTellWhatChanges) {
    Classroom c;
    Person robin = c.learner("Robin");
    Client room = c.instructor.listen("/api/class/room/events");
    EXPECT_EQ(room.event().name, "room");
    Client mine = robin.listen("/api/class/me/events");
    EXPECT_EQ(mine.event().name, "me");
    const Event arrived = room.event();
    EXPECT_EQ(arrived.name, "learner");
    EXPECT_EQ(json::parse(arrived.data)["here"], true);

    robin.post("/api/class/help", {{"wanted", true}, {"about", "ohm-1"}});
    EXPECT_EQ(json::parse(mine.event().data)["help"], "ohm-1");
    EXPECT_EQ(json::parse(room.event().data)["help"]["about"], "ohm-1");
    c.act("Robin", "pass", 1);
    EXPECT_EQ(json::parse(mine.event().data)["gate"], 2);
    EXPECT_EQ(json::parse(room.event().data)["gate"], 2);
    c.instructor.post("/api/class/code", {{"open", true}});
    EXPECT_EQ(room.event().name, "room");
    mine.close();
    EXPECT_EQ(json::parse(room.event(Wait(5000)).data)["here"], false) << "within seconds";

    Client again = robin.listen("/api/class/me/events");
    again.event();
    room.event();
    c.act("Robin", "remove");
    const auto gone = again.event();
    EXPECT_EQ(gone.name, "gone");
    EXPECT_EQ(json::parse(gone.data)["why"], "device");
    EXPECT_EQ(again.event().name, "") << "and ends";
    EXPECT_EQ(robin.get("/api/class/me").status, 401);
    EXPECT_EQ(json::parse(room.event().data)["removed"], true);
}

TEST(Class, OneAnswerForEveryWrongJoin) {
    Classroom c;
    c.learner("Robin");
    c.learner("Kim");
    c.act("Kim", "remove");
    Person anybody = c.person();
    const auto join = [&](const std::string& code, const std::string& name) {
        const Reply reply = anybody.post("/api/class/join", {{"code", code}, {"nickname", name}});
        EXPECT_FALSE(reply.headers.contains("set-cookie"));
        return std::to_string(reply.status) + reply.body;
    };
    const std::string refused = join("2222-2222", "Alex");
    EXPECT_EQ(refused.substr(0, 3), "403");
    EXPECT_EQ(join("2222-2222", "Robin"), refused);
    EXPECT_EQ(join(c.code, "Robin"), refused) << "taken";
    EXPECT_EQ(join(c.code, " r O b I n "), refused) << "the same to people who read it";
    for (const char* alike : {"Ro\u200dbin", "\u00a0Robin", "Ｒｏｂｉｎ", "ROBIN\ufe0f"})
        EXPECT_EQ(join(c.code, alike), refused) << alike;
    EXPECT_EQ(join(c.code, "Kim"), refused) << "removed, and not let in again";
    EXPECT_EQ(join("", "Alex"), refused);
    EXPECT_EQ(join(c.code + "2", "Alex"), refused);
    const std::string old = c.code;
    c.code = c.instructor.post("/api/class/code", {{"open", true}}).json()["code"];
    EXPECT_NE(c.code, old);
    EXPECT_EQ(join(old, "Alex"), refused) << "no longer the code";
    c.instructor.post("/api/class/code", {{"open", false}});
    EXPECT_EQ(join(c.code, "Alex"), refused) << "closed";
    EXPECT_EQ(join("", "Alex"), refused) << "closed, and no code at all";
    for (const char* name : {"", "  ", "abcdefghijklmnopqrstuvwxyz", "\xe2\x80\xae" "abc"})
        EXPECT_EQ(anybody.post("/api/class/join", {{"code", c.code}, {"nickname", name}}).status, 400) << name;
}

TEST(Class, CodesAreTypedAsPeopleType) {
    Classroom c;
    std::string typed;
    for (const char letter : c.code) typed += letter == '-' ? ' ' : static_cast<char>(std::tolower(letter));
    EXPECT_EQ(c.code.size(), 9u);
    const std::string warning = c.room()["warning"];
    EXPECT_NE(warning.find("--bind"), std::string::npos) << "no phone reaches the loopback";
    EXPECT_EQ(warning.find("certificate"), std::string::npos) << "and nobody in a network hears it";
    EXPECT_EQ(c.room()["here_alone"], true);
    EXPECT_TRUE(c.person().join(typed, "Zoë 2"));
}

TEST(Class, SeatsCanBeGivenBackAndDeleted) {
    Classroom c;
    Person robin = c.learner("Robin"), kim = c.learner("Kim");
    robin.post("/api/class/tick", {{"step", 1}, {"done", true}});
    EXPECT_EQ(robin.post("/api/class/tick", {{"step", 100000}, {"done", true}}).status, 404);
    robin.post("/api/class/reading", entering(first_of_gate(1), "0.3 Ω"));
    const json mine = robin.get("/api/class/me/export").json();
    ASSERT_EQ(mine["learners"].size(), 1u);
    EXPECT_EQ(mine["learners"][0]["nickname"], "Robin");
    EXPECT_EQ(mine["learners"][0]["readings"][0]["entered"], "0.3 Ω");
    const json all = c.instructor.get("/api/class/export?anonymous=1").json();
    EXPECT_EQ(all["learners"].size(), 2u);
    EXPECT_EQ(all.dump().find("Robin"), std::string::npos);
    EXPECT_EQ(all.dump().find(std::to_string(mine["learners"][0]["joined"].get<long long>())), std::string::npos);

    // Another device takes the seat when the instructor lets it, and the work is still there.
    c.act("Robin", "readmit");
    EXPECT_EQ(robin.get("/api/class/me").status, 401);
    Person phone = c.learner("robin");
    EXPECT_EQ(phone.get("/api/class/me").json()["ticked"], json({1}));
    c.act("Robin", "reset");
    EXPECT_EQ(phone.get("/api/class/me").json()["ticked"], json::array());
    EXPECT_EQ(phone.get("/api/class/me").json()["checks"], json::object());

    EXPECT_EQ(phone.post("/api/class/leave").status, 200);
    EXPECT_EQ(phone.get("/api/class/me").status, 401);
    const auto id = c.row("Kim")["id"];
    EXPECT_EQ(c.instructor.post("/api/class/delete", {{"learner", id}}).status, 200);
    EXPECT_EQ(c.instructor.post("/api/class/delete", {{"learner", id}}).status, 404);
    EXPECT_EQ(kim.get("/api/class/me").status, 401);
    EXPECT_EQ(c.room()["learners"], json::array());
    EXPECT_EQ(c.kept.read("class.sqlite").find("Robin"), std::string::npos);
    EXPECT_EQ(c.kept.read("class.sqlite.backup").find("Robin"), std::string::npos);
}

TEST(Class, IsEndedInOneStepAndNothingOfAnybodyStays) {
    Classroom c;
    Person robin = c.learner("Robin"), kim = c.learner("Kim");
    robin.post("/api/class/reading", entering(first_of_gate(1), "0.3 Ω"));
    robin.post("/api/class/submit", {{"wires", wire_list(0)}});
    c.instructor.post("/api/class/settings", {{"hints", 1}, {"marks", true}});
    Client room = c.instructor.listen("/api/class/room/events"), mine = robin.listen("/api/class/me/events");
    room.event();
    mine.event();
    EXPECT_EQ(c.instructor.post("/api/class/end").status, 400) << "as many as were shown must be said";
    EXPECT_EQ(c.instructor.post("/api/class/end", {{"learners", 1}}).status, 409) << "another has joined since";
    EXPECT_EQ(robin.post("/api/class/end", {{"learners", 2}}).status, 403);
    EXPECT_EQ(c.room()["learners"].size(), 2u);

    const Reply ended = c.instructor.post("/api/class/end", {{"learners", 2}});
    ASSERT_EQ(ended.status, 200) << ended.body;
    EXPECT_EQ(ended.json()["learners"], json::array());
    EXPECT_TRUE(ended.json()["code"].is_null()) << "nobody can join";
    EXPECT_EQ(ended.json()["hints_open"], 1) << "what the instructor has set stays";
    EXPECT_EQ(ended.json()["marks_open"], true);
    const auto gone = mine.event();
    EXPECT_EQ(gone.name, "gone");
    EXPECT_EQ(json::parse(gone.data)["why"], "class-ended");
    std::set<std::string> told;
    for (int k = 0; k < 4; ++k) told.insert(room.event().name);
    EXPECT_EQ(told, (std::set<std::string>{"learner", "left", "room"}));
    for (Person* learner : {&robin, &kim}) EXPECT_EQ(learner->get("/api/class/me").status, 401);
    EXPECT_FALSE(c.person().join(c.code, "Alex")) << "the old code";
    for (const char* file : {"class.sqlite", "class.sqlite-wal", "class.sqlite.backup"})
        EXPECT_EQ(c.kept.read(file).find("Robin"), std::string::npos) << file;

    const json history = c.instructor.get("/api/class/history").json();
    ASSERT_EQ(history["classes"].size(), 1u);
    EXPECT_EQ(history["classes"][0]["learners"], 2);
    EXPECT_EQ(history["classes"][0]["submissions"], 1);
    EXPECT_EQ(history["now"]["learners"], 0);
    c.code = c.instructor.post("/api/class/code", {{"open", true}}).json()["code"];
    c.learner("Robin");
    EXPECT_EQ(c.row("Robin")["tries"], 0);
    c.act("Robin", "remove");
    EXPECT_EQ(c.instructor.post("/api/class/end", {{"learners", 1}}).status, 200);
    EXPECT_EQ(c.instructor.post("/api/class/end", {{"learners", 0}}).status, 200) << "nobody is in it";
    EXPECT_EQ(c.instructor.get("/api/class/history").json()["classes"].size(), 2u)
        << "a class of nobody leaves no counts";
}

TEST(Class, AnEndThatCannotBeWrittenEndsNothing) {
    Classroom c;
    Person robin = c.learner("Robin");
    robin.post("/api/class/reading", entering(first_of_gate(1), "0.3 Ω"));
    c.instructor.post("/api/class/settings", {{"hints", 2}, {"marks", true}});
    auto disk = voltsill::store::Database::open(c.kept.path("class.sqlite"));
    ASSERT_TRUE(disk.has_value()) << disk.error();
    ASSERT_TRUE(disk->run("CREATE TRIGGER full BEFORE DELETE ON class BEGIN SELECT RAISE(ABORT, 'no room'); END"));
    Client room = c.instructor.listen("/api/class/room/events"), mine = robin.listen("/api/class/me/events");
    room.event();
    mine.event();
    for (int again = 0; again < 2; ++again) {
        const Reply refused = c.instructor.post("/api/class/end", {{"learners", 1}});
        EXPECT_EQ(refused.status, 503);
        EXPECT_EQ(refused.code(), "not-kept");
        EXPECT_EQ(c.row("Robin")["tries"], 1) << "as before";
        EXPECT_EQ(c.room()["hints_open"], 2);
        EXPECT_FALSE(c.room()["code"].is_null()) << "others can still join";
        EXPECT_EQ(robin.get("/api/class/me").status, 200);
    }
    for (int k = 0; k < 4; ++k) EXPECT_NE(room.event().name, "left");
    EXPECT_NE(mine.event().name, "gone") << "the stream ends and is opened again";
    ASSERT_TRUE(disk->run("DROP TRIGGER full")) << disk->trouble();
    EXPECT_EQ(c.instructor.post("/api/class/end", {{"learners", 1}}).status, 200);
    EXPECT_EQ(robin.get("/api/class/me").status, 401);
}

TEST(Class, ABuildWithEndsThatAreNoneIsNotHandedIn) {
    Classroom c;
    Person robin = c.learner("Robin");
    for (const auto& [wire, said] : {std::pair{"99z,receiver.IN\n", "99z"},
                                     {"sender.OUTT,receiver.IN\n", "did you mean OUT?"},
                                     {",receiver.IN\n", "nothing under"}}) {
        const Reply refused = robin.post("/api/class/submit", {{"wires", wire_list(0) + wire}});
        EXPECT_EQ(refused.status, 422) << wire;
        EXPECT_EQ(refused.code(), "no-build");
        EXPECT_NE(refused.body.find(said), std::string::npos) << refused.body;
        EXPECT_TRUE(robin.get("/api/class/me").json()["build"].is_null());
    }
    EXPECT_EQ(robin.post("/api/class/submit", {{"wires", wire_list(0)}}).status, 200);
}

TEST(Class, SecretsAreOutOfReachOfScriptsAndKeptAsHashes) {
    Classroom c;
    Person robin = c.person();
    const Reply joined = robin.post("/api/class/join", {{"code", c.code}, {"nickname", "Robin"}});
    const std::string cookie = joined.headers.at("set-cookie");
    EXPECT_NE(cookie.find("; HttpOnly"), std::string::npos);
    EXPECT_NE(cookie.find("; SameSite=Strict"), std::string::npos);
    EXPECT_EQ(cookie.find("; Secure"), std::string::npos) << "without TLS it would never come back";
    const std::string secret = robin.cookie().substr(robin.cookie().find('=') + 1);
    EXPECT_EQ(secret.size(), 64u);
    EXPECT_EQ(joined.body.find(secret), std::string::npos);
    EXPECT_NE(robin.token(), secret);
    const std::string file = c.kept.read("class.sqlite") + c.kept.read("class.sqlite-wal");
    EXPECT_NE(file.find("Robin"), std::string::npos);
    EXPECT_EQ(file.find(secret), std::string::npos);
    EXPECT_EQ(file.find(passphrase), std::string::npos);
    EXPECT_NE(file.find("$argon2id$"), std::string::npos);  // RFC 9106, in the form of crypt(3)
    // Both secrets in one browser: the instructor's counts.
    Person both = c.person();
    EXPECT_EQ(both.call("GET", "/api/class/who", nullptr, {{"Cookie", robin.cookie() + "; " + c.instructor.cookie()}})
                  .json()["role"],
              "instructor");
    const std::string crossed = "voltsill-instructor=" + secret;
    EXPECT_EQ(c.person().call("GET", "/api/class/who", nullptr, {{"Cookie", crossed}}).json()["role"], "nobody");
}

TEST(Class, IsThereAgainAfterARestart) {
    const Folder kept;
    std::string code, cookie;
    {
        const Served served(class_options(kept.path("class.sqlite")), example_text("first-bench"));
        Person instructor(served.port()), robin(served.port());
        ASSERT_TRUE(instructor.sign_in());
        code = instructor.get("/api/class/room").json()["code"];
        ASSERT_TRUE(robin.join(code, "Robin"));
        robin.post("/api/class/reading", entering(first_of_gate(1), right_entry(first_of_gate(1))));
        instructor.post("/api/class/learner", {{"learner", 1}, {"do", "pass"}, {"gate", 1}});
        robin.post("/api/class/help", {{"wanted", true}});
        cookie = robin.cookie();
    }
    ServerOptions options = class_options(kept.path("class.sqlite"));
    options.hall->passphrase.clear();
    const Served served(options, example_text("first-bench"));
    Person robin(served.port());
    const json me = robin.call("GET", "/api/class/me", nullptr, {{"Cookie", cookie}}).json();
    EXPECT_EQ(me["nickname"], "Robin");
    EXPECT_EQ(me["gate"], 2);
    EXPECT_EQ(me["help"], "");
    EXPECT_EQ(me["checks"][first_of_gate(1).id]["right"], true);
    Person instructor(served.port());
    ASSERT_TRUE(instructor.sign_in()) << "the passphrase is kept";
    EXPECT_EQ(instructor.get("/api/class/room").json()["code"], code);
    EXPECT_EQ(instructor.post("/api/class/backup").status, 200);
}

TEST(Class, ThePageOfTheMakerIsTheInstructorsAlone) {
    Classroom c;
    Person robin = c.learner("Robin");
    for (Person* person : {&robin}) {
        const Reply away = person->get("/");
        EXPECT_EQ(away.status, 303);
        EXPECT_EQ(away.headers.at("location"), "/class");
        EXPECT_EQ(away.body.find(c.instructor.token()), std::string::npos);
    }
    const Reply page = c.instructor.get("/");
    EXPECT_EQ(page.status, 200);
    EXPECT_NE(page.body.find(c.instructor.token()), std::string::npos);
    EXPECT_EQ(c.instructor.post("/api/check", {{"text", small_bench}}).status, 200);
    for (const char* open : {"/class", "/instructor"}) {
        const Reply shown = c.person().get(open);
        EXPECT_EQ(shown.status, 200);
        EXPECT_EQ(shown.body.find("__VOLTSILL"), std::string::npos);
        EXPECT_NE(shown.headers.at("content-security-policy").find("script-src 'self'"), std::string::npos);
    }
    c.instructor.post("/api/class/sign-out");
    EXPECT_EQ(c.instructor.get("/").status, 303);
}

TEST(Class, NeedsOneAddressAndOneBench) {
    const Folder folder;
    folder.write("b.toml", small_bench);
    const auto why = [&](ServerOptions options) {
        auto started = Server::start(options);
        EXPECT_FALSE(started);
        return started ? "" : started.error();
    };
    const std::string file = folder.path("b.toml"), store = folder.path("class.sqlite");
    ServerOptions options = class_options(store);
    options.path = folder.path("");
    EXPECT_NE(why(options).find("one bench"), std::string::npos);
    EXPECT_NE(why({.path = file, .bind = "192.0.2.1"}).find("--class"), std::string::npos);
    options.path = file;
    for (const char* address : {"0.0.0.0", "::", "", "everywhere", "127.0.0.1/8"}) {
        options.bind = address;
        EXPECT_NE(why(options).find("one address"), std::string::npos) << address;
    }
    options.bind = "192.0.2.1";  // of documentation (RFC 5737): no machine has it
    EXPECT_NE(why(options).find("192.0.2.1 is no address of this machine"), std::string::npos);
    for (const std::string& own : own_addresses()) {
        EXPECT_TRUE(is_one_address(own) && !is_loopback(own)) << own;
        EXPECT_TRUE(listen_on(own, 0, 0, 1)) << own;
        EXPECT_NE(why(options).find(own), std::string::npos) << "what may be given is told";
    }
    ServerOptions unset = class_options(folder.path("new.sqlite"));
    unset.path = file;
    unset.hall->passphrase.clear();
    EXPECT_NE(why(unset).find("passphrase"), std::string::npos);
}

}  // namespace
