// The opened folder: nothing outside of it, and nobody's bytes lost.
#include <gtest/gtest.h>
#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

#include <filesystem>
#include <thread>

#include "served.h"
#include "server/bench_folder.h"
#include "server/descriptor.h"
#include "server/replace_file.h"

namespace {
using namespace voltsill::server;
using voltsill::testing::Folder;
namespace fs = std::filesystem;

struct Opened {
    Folder outer;
    std::string inside = outer.path("opened");
    BenchFolder folder = [this] {
        fs::create_directories(inside);
        return std::move(*BenchFolder::open(inside));
    }();
    void write(const std::string& name, const std::string& text) const { std::ofstream(inside + "/" + name) << text; }
    std::string read(const std::string& name) const { return voltsill::testing::text_of(inside + "/" + name); }
    int status(const std::string& path) const {
        const auto file = folder.read(path);
        return file ? 200 : file.error().status;
    }
    int save(const std::string& path, const std::string& text, const std::optional<std::string>& base) const {
        const auto saved = folder.save(path, text, base);
        return saved ? 200 : saved.error().why.status;
    }
    int entries() const { return static_cast<int>(std::distance(fs::directory_iterator(inside), {})); }
};

TEST(BenchFolder, VersionIsTheDigestOfTheBytes) {
    // FIPS 180-4, SHA-256 of "abc" (NIST, Secure Hash Standard example values): ba7816bf 8f01cfea 414140de 5dae2223 ...
    EXPECT_EQ(content_version("abc"), "ba7816bf8f01cfea414140de5dae2223");
}

TEST(BenchFolder, NothingOutsideIsReadOrWritten) {
    const Opened o;
    o.outer.write("secret.toml", "title = \"secret\"");
    o.write("bench.toml", "title = \"b\"");
    o.write("notes.txt", "n");
    o.write(".hidden.toml", "h");
    fs::create_directories(o.inside + "/sub");
    o.write("sub/inner.toml", "i");
    fs::create_symlink("../secret.toml", o.inside + "/out.toml");
    fs::create_symlink(o.outer.path("secret.toml"), o.inside + "/absolute.toml");
    fs::create_symlink("..", o.inside + "/up");
    fs::create_symlink(o.outer.path(""), o.inside + "/up-absolute");
    fs::create_symlink("/proc/self/root", o.inside + "/magic");
    fs::create_symlink("loop.toml", o.inside + "/loop.toml");
    fs::create_symlink("sub/inner.toml", o.inside + "/within.toml");
    ASSERT_EQ(mkfifo((o.inside + "/pipe.toml").c_str(), 0600), 0);
    fs::create_directories(o.inside + "/folder.toml");

    EXPECT_EQ(o.status("bench.toml"), 200);
    EXPECT_EQ(o.status("sub/inner.toml"), 200);
    EXPECT_EQ(o.status("within.toml"), 200) << "a link that stays within the folder";
    const std::string outside[] = {"../secret.toml", "sub/../../secret.toml", "/etc/hosts", o.outer.path("secret.toml"),
                                   "out.toml", "absolute.toml", "up/secret.toml", "up-absolute/secret.toml",
                                   "magic" + o.outer.path("secret.toml"), "loop.toml", "pipe.toml", "folder.toml",
                                   "notes.txt", ".hidden.toml", "sub/../bench.toml", "", ".", "..",
                                   std::string("bench.toml\0.toml", 16), std::string(5000, 'a') + ".toml"};
    for (const std::string& path : outside) {
        EXPECT_EQ(o.status(path), 403) << path;
        EXPECT_GE(o.save(path, "taken", std::nullopt), 403) << path;
        EXPECT_GE(o.save(path, "taken", content_version("title = \"secret\"")), 403) << path;
    }
    EXPECT_EQ(o.status("missing.toml"), 404);
    EXPECT_EQ(o.status("no-folder/missing.toml"), 404);
    EXPECT_EQ(voltsill::testing::text_of(o.outer.path("secret.toml")), "title = \"secret\"");
    EXPECT_EQ(o.read("notes.txt"), "n");
    EXPECT_EQ(std::distance(fs::directory_iterator(o.outer.path("")), {}), 2) << "nothing was put outside";

    std::vector<std::string> listed;
    for (const auto& entry : o.folder.list()) listed.push_back(entry.path);
    EXPECT_EQ(listed, (std::vector<std::string>{"bench.toml", "sub/inner.toml"}));
}

TEST(BenchFolder, AFolderChangedForALinkMeanwhileLeadsNowhere) {
    const Opened o;
    fs::create_directories(o.inside + "/sub");
    fs::create_directories(o.inside + "/spare");
    o.write("sub/bench.toml", "mine");
    fs::create_directories(o.outer.path("sub"));
    std::ofstream(o.outer.path("sub/bench.toml")) << "theirs";
    fs::create_symlink(o.outer.path("sub"), o.inside + "/link");
    std::atomic<bool> ends{false};
    std::thread other([&] {
        while (!ends) {
            rename((o.inside + "/sub").c_str(), (o.inside + "/spare/sub").c_str());
            rename((o.inside + "/link").c_str(), (o.inside + "/sub").c_str());
            rename((o.inside + "/sub").c_str(), (o.inside + "/link").c_str());
            rename((o.inside + "/spare/sub").c_str(), (o.inside + "/sub").c_str());
        }
    });
    int found = 0;
    for (int k = 0; k < 3000 || (found == 0 && k < 1'000'000); ++k) {  // the other may have the folder away for long
        const auto file = o.folder.read("sub/bench.toml");
        if (!file) continue;
        ++found;
        EXPECT_EQ(file->text, "mine");
    }
    ends = true;
    other.join();
    EXPECT_GT(found, 0);
}

TEST(BenchFolder, SavesOnlyOverWhatWasRead) {
    const Opened o;
    EXPECT_EQ(o.save("new.toml", "1", std::nullopt), 200);
    EXPECT_EQ(o.read("new.toml"), "1");
    EXPECT_EQ(o.save("new.toml", "2", std::nullopt), 409) << "there is one already";
    EXPECT_EQ(o.save("new.toml", "2", content_version("other")), 409);
    const auto refused = o.folder.save("new.toml", "2", content_version("other"));
    ASSERT_FALSE(refused);
    ASSERT_TRUE(refused.error().there);
    EXPECT_EQ(refused.error().there->text, "1");
    EXPECT_EQ(refused.error().there->version, content_version("1"));
    EXPECT_EQ(o.read("new.toml"), "1");
    EXPECT_EQ(o.save("new.toml", "2", content_version("1")), 200);
    EXPECT_EQ(o.read("new.toml"), "2");
    EXPECT_EQ(o.save("absent.toml", "2", content_version("1")), 409);
    EXPECT_FALSE(fs::exists(o.inside + "/absent.toml"));
    EXPECT_EQ(o.save("no-folder/new.toml", "2", std::nullopt), 404);
    EXPECT_EQ(o.entries(), 1) << "no drafts are left";
}

TEST(BenchFolder, KeepsTheModeOfAFile) {
    const Opened o;
    o.write("bench.toml", "1");
    chmod((o.inside + "/bench.toml").c_str(), 0640);
    ASSERT_EQ(o.save("bench.toml", "2", content_version("1")), 200);
    EXPECT_EQ(fs::status(o.inside + "/bench.toml").permissions(), fs::perms(0640));
}

TEST(BenchFolder, RemovesDraftsOfProcessesThatEndedAndNoOthers) {
    const Opened o;
    o.write("bench.toml", "1");
    const int ended = fork();
    if (ended == 0) _exit(0);
    waitpid(ended, nullptr, 0);
    o.write(".bench.toml." + std::to_string(ended) + "-1.saving", "half");
    o.write(".bench.toml." + std::to_string(getppid()) + "-1.saving", "another one saves");
    o.write(".other.toml." + std::to_string(ended) + "-1.saving", "of another file");
    ASSERT_EQ(o.save("bench.toml", "2", content_version("1")), 200);
    EXPECT_EQ(o.entries(), 3);
    EXPECT_FALSE(fs::exists(o.inside + "/.bench.toml." + std::to_string(ended) + "-1.saving"));
}

TEST(BenchFolder, OfManySaversOfOneVersionOneWins) {
    const Opened o;
    o.write("bench.toml", "start");
    std::string base = content_version("start");
    for (int round = 0; round < 20; ++round) {
        std::atomic<int> won{0};
        std::atomic<int> winner{-1};
        std::vector<std::thread> savers;
        for (int k = 0; k < 8; ++k)
            savers.emplace_back([&, k] {
                const std::string text = std::to_string(round) + " by " + std::to_string(k);
                if (o.save("bench.toml", text, base) == 200) {
                    ++won;
                    winner = k;
                }
            });
        for (std::thread& saver : savers) saver.join();
        ASSERT_EQ(won, 1);
        const std::string text = std::to_string(round) + " by " + std::to_string(winner);
        ASSERT_EQ(o.read("bench.toml"), text);
        base = content_version(text);
    }
    EXPECT_EQ(o.entries(), 1);
}

TEST(BenchFolder, AProgramWithoutLocksIsNotOverwrittenEither) {
    // The other one renames its bytes over the file between our look and our exchange.
    const Opened o;
    o.write("bench.toml", "1");
    const auto folder = Descriptor(open(o.inside.c_str(), O_RDONLY | O_DIRECTORY));
    int looks = 0;
    const Replaced done = replace_file(folder.get(), "bench.toml", "ours", [&](const std::string& bytes) {
        if (++looks == 1) {
            o.write("theirs", "theirs");
            rename((o.inside + "/theirs").c_str(), (o.inside + "/bench.toml").c_str());
            return true;
        }
        return bytes == "1";
    }, false);
    EXPECT_EQ(done.outcome, Replaced::Outcome::different);
    EXPECT_EQ(looks, 2);
    EXPECT_EQ(o.read("bench.toml"), "theirs");
    EXPECT_EQ(o.entries(), 1);
}

TEST(BenchFolder, LargeFilesAreRefused) {
    const Opened o;
    o.write("large.toml", std::string((8u << 20) + 1, ' '));
    EXPECT_EQ(o.status("large.toml"), 413);
    o.write("fits.toml", std::string(8u << 20, ' '));
    EXPECT_EQ(o.status("fits.toml"), 200);
}

TEST(BenchFolder, IncludesStayWithinTheFolder) {
    const Opened o;
    o.outer.write("secret.toml", "s");
    fs::create_directories(o.inside + "/sub");
    o.write("parts.toml", "p");
    o.write("sub/own.toml", "o");
    bool asked = false;
    const auto include = o.folder.include_beside("sub/bench.toml", asked);
    EXPECT_FALSE(asked);
    EXPECT_EQ(include("own.toml"), "o");
    EXPECT_TRUE(asked);
    EXPECT_EQ(include("../parts.toml"), "p");
    EXPECT_EQ(include("../../secret.toml"), std::nullopt);
    EXPECT_EQ(include(o.outer.path("secret.toml")), std::nullopt);
}

}  // namespace
