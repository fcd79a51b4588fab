// What the store keeps, gives back, forgets and copies; and that it refuses files that are not its own.
#include <gtest/gtest.h>
#include <sys/stat.h>

#include <thread>

#include "store/class_store.h"
#include "store/migrations.h"
#include "support/program.h"

namespace {
using namespace voltsill::store;
using voltsill::testing::Folder;
using voltsill::testing::run_command;

ClassStore opened(const std::string& path) {
    auto store = ClassStore::open(path);
    EXPECT_TRUE(store) << (store ? "" : store.error());
    return std::move(*store);
}

StoredClass a_class(Seconds begun = 1000, Seconds keep_until = 5000) {
    return {.bench = "b.toml", .version = "0123abcd", .title = "Bench", .code = "ABCD-EFGH", .code_until = begun + 100,
            .begun = begun, .keep_until = keep_until};
}

/// A learner with something of every kind.
std::int64_t busy_learner(ClassStore& store, std::int64_t class_id, const std::string& nickname) {
    const std::int64_t id = store.add_learner({.class_id = class_id, .nickname = nickname, .name_key = nickname,
                                               .device = "device of " + nickname, .joined = 1001});
    store.set_tick({id, 3, 1002}, true);
    store.add_reading({id, "level-1", "1.7", 1.7, false, 1003});
    store.add_reading({id, "level-1", "drifts", std::nullopt, true, 1004});
    store.add_hint({id, "level-1", 2, 1005});
    store.add_pass({id, 1, 1006});
    store.add_submission({id, "1, 2, 3", true, 4, 10, "{}", 1007});
    return id;
}

TEST(Store, GivesBackWhatItWasGiven) {
    const Folder folder;
    const std::string path = folder.path("class.sqlite");
    std::int64_t class_id = 0, robin = 0;
    {
        ClassStore store = opened(path);
        store.begin();
        class_id = store.add_class(a_class());
        robin = busy_learner(store, class_id, "Robin");
        store.set_passphrase("hash");
        ASSERT_TRUE(store.commit());
    }
    ClassStore store = opened(path);
    EXPECT_EQ(store.passphrase(), "hash");
    const auto known = store.class_of("0123abcd", 1000);
    ASSERT_TRUE(known);
    EXPECT_EQ(known->code, "ABCD-EFGH");
    EXPECT_EQ(known->keep_until, 5000);
    EXPECT_FALSE(store.class_of("another", 1000));
    EXPECT_FALSE(store.class_of("0123abcd", 5000)) << "its days are over";
    const ClassRecords all = store.records(class_id);
    ASSERT_EQ(all.learners.size(), 1u);
    EXPECT_EQ(all.learners[0].nickname, "Robin");
    EXPECT_EQ(all.learners[0].device, "device of Robin");
    ASSERT_EQ(all.readings.size(), 2u);
    EXPECT_EQ(all.readings[0].value, 1.7);
    EXPECT_EQ(all.readings[1].value, std::nullopt);
    EXPECT_TRUE(all.readings[1].correct);
    EXPECT_EQ(all.ticks.size() + all.hints.size() + all.passes.size() + all.submissions.size(), 4u);
    EXPECT_TRUE(all.submissions[0].harmful);
    EXPECT_EQ(store.records_of(robin).readings.size(), 2u);
    EXPECT_TRUE(store.records_of(robin + 1).learners.empty());
}

TEST(Store, TextIsNeverPartOfAStatement) {
    const Folder folder;
    ClassStore store = opened(folder.path("class.sqlite"));
    const std::string name = "x'); DELETE FROM learner; --", nul("a\0b", 3);
    store.begin();
    const std::int64_t class_id = store.add_class(a_class());
    busy_learner(store, class_id, name);
    busy_learner(store, class_id, nul);
    ASSERT_TRUE(store.commit());
    const ClassRecords all = store.records(class_id);
    ASSERT_EQ(all.learners.size(), 2u);
    EXPECT_EQ(all.learners[0].nickname, name);
    EXPECT_EQ(all.learners[1].nickname, nul);
}

TEST(Store, AFailureTakesTheWholeBatchBack) {
    const Folder folder;
    ClassStore store = opened(folder.path("class.sqlite"));
    store.begin();
    const std::int64_t class_id = store.add_class(a_class());
    busy_learner(store, class_id, "Robin");
    ASSERT_TRUE(store.commit());
    store.begin();
    busy_learner(store, class_id, "Kim");
    busy_learner(store, class_id, "Robin");  // a nickname is there once in a class
    store.set_passphrase("not to be kept");
    EXPECT_FALSE(store.commit());
    EXPECT_EQ(store.records(class_id).learners.size(), 1u);
    EXPECT_EQ(store.passphrase(), "");
    store.begin();
    busy_learner(store, class_id, "Kim");
    EXPECT_TRUE(store.commit()) << "and the next one goes on";
}

TEST(Store, WhatIsDeletedIsGoneFromFileAndCopy) {
    const Folder folder;
    const std::string path = folder.path("class.sqlite"), copy = folder.path("copy.sqlite");
    ClassStore store = opened(path);
    const std::string nickname = "a-nickname-like-no-other";
    store.begin();
    const std::int64_t class_id = store.add_class(a_class());
    const std::int64_t gone = busy_learner(store, class_id, nickname), kim = busy_learner(store, class_id, "Kim");
    ASSERT_TRUE(store.commit());
    ASSERT_EQ(store.backup(copy), "");
    EXPECT_NE(folder.read("copy.sqlite").find(nickname), std::string::npos);
    store.begin();
    store.delete_learner(gone);
    ASSERT_TRUE(store.commit());
    store.checkpoint();
    ASSERT_EQ(store.backup(copy), "");
    for (const char* file : {"class.sqlite", "class.sqlite-wal", "copy.sqlite"})
        EXPECT_EQ(folder.read(file).find(nickname), std::string::npos) << file;
    EXPECT_TRUE(store.records_of(gone).learners.empty());
    EXPECT_TRUE(store.records(class_id).readings.size() == 2 && store.records_of(kim).readings.size() == 2);
    store.begin();
    store.clear_learner(kim);
    ASSERT_TRUE(store.commit());
    const ClassRecords cleared = store.records_of(kim);
    EXPECT_EQ(cleared.learners.size(), 1u);
    EXPECT_EQ(cleared.ticks.size() + cleared.readings.size() + cleared.hints.size() + cleared.passes.size() +
                  cleared.submissions.size(), 0u);
}

TEST(Store, DaysThatAreOverLeaveCountsWithoutNames) {
    const Folder folder;
    ClassStore store = opened(folder.path("class.sqlite"));
    store.begin();
    const std::int64_t first = store.add_class(a_class(200000, 300000)),
                       second = store.add_class(a_class(200000, 900000));
    for (const char* name : {"Robin", "Kim", "Alex"}) busy_learner(store, first, name);
    const std::int64_t robin = busy_learner(store, second, "Robin");
    store.take_passes_from(robin, 1);
    ASSERT_TRUE(store.commit());
    store.begin();
    EXPECT_EQ(store.expire(299999, 0), 0);
    EXPECT_EQ(store.expire(300000, first), 0) << "not the one that is being held";
    EXPECT_EQ(store.expire(300000, 0), 1);
    ASSERT_TRUE(store.commit());
    EXPECT_TRUE(store.records(first).learners.empty());
    EXPECT_EQ(store.records(second).learners.size(), 1u);
    const std::vector<History> history = store.history();
    ASSERT_EQ(history.size(), 1u);
    EXPECT_EQ(history[0].learners, 3);
    EXPECT_EQ(history[0].day, 172800) << "midnight";
    EXPECT_EQ(history[0].passed[0], 3);
    EXPECT_EQ(history[0].passed[1], 0);
    EXPECT_EQ(history[0].submissions, 3);
    EXPECT_EQ(history[0].harmful, 3);
    ASSERT_EQ(history[0].items.size(), 1u);
    EXPECT_EQ(history[0].items[0].entered, 6);
    EXPECT_EQ(history[0].items[0].correct, 3);
    EXPECT_EQ(history[0].items[0].hints, 3);
}

TEST(Store, CopiesWhileItIsWrittenTo) {
    const Folder folder;
    const std::string path = folder.path("class.sqlite");
    ClassStore store = opened(path);
    store.begin();
    const std::int64_t class_id = store.add_class(a_class());
    ASSERT_TRUE(store.commit());
    std::atomic<bool> stop{false};
    std::atomic<int> written{0};
    std::thread writer([&] {
        for (int k = 0; !stop && k < 5000; ++k) {
            store.begin();
            // Two that belong together: a copy has both of them or none.
            busy_learner(store, class_id, "a" + std::to_string(k));
            busy_learner(store, class_id, "b" + std::to_string(k));
            if (!store.commit()) break;
            ++written;
        }
    });
    int largest = 0;
    for (int k = 0; k < 10; ++k) {
        while (written < 5 * k && written < 5000) std::this_thread::yield();
        const int before = written;
        EXPECT_EQ(store.backup(folder.path("copy.sqlite")), "");
        ClassStore copy = opened(folder.path("copy.sqlite"));
        const auto learners = static_cast<int>(copy.records(class_id).learners.size());
        EXPECT_EQ(learners % 2, 0);
        EXPECT_GE(learners, 2 * before) << "all that was acknowledged before";
        largest = std::max(largest, learners);
    }
    stop = true;
    writer.join();
    EXPECT_GT(largest, 0);
    EXPECT_FALSE(std::filesystem::exists(folder.path("copy.sqlite.part")));
}

TEST(Store, FilesOfItsOwnerAloneAndNoOtherDatabases) {
    const Folder folder;
    const std::string path = folder.path("class.sqlite");
    {
        ClassStore store = opened(path);
        EXPECT_EQ(store.backup(folder.path("copy.sqlite")), "");
        for (const char* file : {"class.sqlite", "class.sqlite-wal", "copy.sqlite"}) {
            struct stat info{};
            ASSERT_EQ(stat(folder.path(file).c_str(), &info), 0) << file;
            EXPECT_EQ(info.st_mode & 0777, 0600u) << file;
        }
        EXPECT_NE(store.backup(folder.path("no/such/folder.sqlite")), "");
    }
    folder.write("text.sqlite", std::string(5000, 'x'));
    EXPECT_FALSE(ClassStore::open(folder.path("text.sqlite")));
    EXPECT_FALSE(ClassStore::open(folder.path("no/such/folder.sqlite")));

    auto other = Database::open(folder.path("other.sqlite"));
    ASSERT_TRUE(other);
    ASSERT_TRUE(other->run("CREATE TABLE somebody_elses (x)"));
    const auto refused = ClassStore::open(folder.path("other.sqlite"));
    ASSERT_FALSE(refused);
    EXPECT_NE(refused.error().find("another program"), std::string::npos);

    auto later = Database::open(path);
    ASSERT_TRUE(later);
    ASSERT_TRUE(later->run("PRAGMA user_version=99"));
    const auto newer = ClassStore::open(path);
    ASSERT_FALSE(newer);
    EXPECT_NE(newer.error().find("later version"), std::string::npos);
}

TEST(Store, MigrationMakesTheLastVersionOnce) {
    const Folder folder;
    auto database = Database::open(folder.path("class.sqlite"));
    ASSERT_TRUE(database);
    EXPECT_EQ(migrate(*database), "");
    EXPECT_EQ(database->rows("PRAGMA user_version").at(0).integer(0), last_version());
    const auto shape = [&] { return database->rows("SELECT group_concat(sql) FROM sqlite_schema").at(0).text(0); };
    const std::string before = shape();
    EXPECT_EQ(migrate(*database), "");
    EXPECT_EQ(shape(), before);
    EXPECT_EQ(database->rows("PRAGMA journal_mode").at(0).text(0), "wal");
    EXPECT_EQ(database->rows("PRAGMA synchronous").at(0).integer(0), 2) << "FULL (sqlite.org, PRAGMA synchronous)";
    EXPECT_EQ(database->rows("PRAGMA integrity_check").at(0).text(0), "ok");
}

}  // namespace
