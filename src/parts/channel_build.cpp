/// Channels by pin index, from lists of pin names that run in step.
#include <fmt/format.h>

#include <algorithm>

#include "parts/part_build.h"
#include "quantity/scan.h"

namespace voltsill {
namespace {

bool two_sided(ChannelLogic logic) {
    return logic == ChannelLogic::transceiver || logic == ChannelLogic::pass_gate ||
           logic == ChannelLogic::repeater || logic == ChannelLogic::auto_push_pull ||
           logic == ChannelLogic::auto_open_drain;
}

class ChannelMaker {
  public:
    ChannelMaker(const PartType& type, Mistakes& mistakes) : type_(type), mistakes_(mistakes) {}

    std::vector<Channel> make(const std::vector<ChannelRecord>& records) {
        for (const ChannelRecord& record : records) {
            if (!record.out.empty() || !record.plus.empty() || !record.minus.empty())
                amplifiers(record);
            else
                paths(record);
        }
        return std::move(channels_);
    }

  private:
    int pin(const Word& word) {
        const int index = type_.pin_index(word.text);
        if (index >= 0) return index;
        std::vector<std::string> names;
        for (const Pin& p : type_.pins) names.push_back(p.name);
        mistakes_.unknown_name(word.place, "unknown-pin", "this part has no pin " + in_quotes(word.text),
                               word.text, names);
        return -1;
    }

    /// The lists of one group have to be as long as `wanted`.
    bool in_step(const PinList& list, std::size_t wanted, const char* what, const ChannelRecord& record) {
        if (list.words.size() == wanted) return true;
        mistakes_.error(
            list.empty() ? record.place : list.place, "unequal-lists",
            fmt::format("{} names {} pins, and `to` or `out` names {}", what, list.words.size(), wanted),
            fmt::format("{} pins", wanted));
        return false;
    }

    void amplifiers(const ChannelRecord& record) {
        const std::size_t count = record.out.words.size();
        if (!in_step(record.plus, count, "plus", record) || !in_step(record.minus, count, "minus", record))
            return;
        for (std::size_t i = 0; i < count; ++i) {
            const int plus = pin(record.plus.words[i]), minus = pin(record.minus.words[i]),
                      out = pin(record.out.words[i]);
            if (plus < 0 || minus < 0 || out < 0) continue;
            channels_.push_back(
                {.inputs = {plus, minus}, .output = out, .name = fmt::format("{}", channels_.size() + 1)});
        }
    }

    bool enable(Channel& channel, const Word& word) {
        const int index = pin(word);
        if (index < 0) return false;
        channel.enables.push_back(index);
        channel.enable_high.push_back(!word.text.starts_with('/'));
        return true;
    }

    void paths(const ChannelRecord& record) {
        if (!record.logic) {
            mistakes_.error(record.place, "missing-key", "this channel group does not say what it does",
                            "logic = \"buffer\"");
            return;
        }
        const std::size_t count = record.to.words.size();
        if (!in_step(record.from, count, "from", record)) return;
        if (!record.also.empty() && !in_step(record.also, count, "also", record)) return;
        if (!record.enable_each.empty() && !in_step(record.enable_each, count, "enable_each", record)) return;
        if (*record.logic == ChannelLogic::transceiver && !record.direction) {
            mistakes_.error(record.place, "missing-key", "a transceiver needs a direction pin",
                            "direction = \"DIR\"");
            return;
        }
        for (std::size_t i = 0; i < count; ++i) path(record, i);
    }

    void path(const ChannelRecord& record, std::size_t i) {
        Channel channel{
            .logic = *record.logic, .inputs = {pin(record.from.words[i])}, .output = pin(record.to.words[i])};
        bool good = channel.inputs[0] >= 0 && channel.output >= 0;
        if (!record.also.empty()) {
            channel.inputs.push_back(pin(record.also.words[i]));
            good = good && channel.inputs[1] >= 0;
        }
        for (const Word& word : record.enable.words) good = enable(channel, word) && good;
        if (!record.enable_each.empty()) good = enable(channel, record.enable_each.words[i]) && good;
        if (record.direction) {
            channel.direction = pin(*record.direction);
            good = good && channel.direction >= 0;
        }
        channel.name = two_sided(channel.logic) ? record.from.words[i].text + "-" + record.to.words[i].text
                                                : fmt::format("{}", channels_.size() + 1);
        if (good) channels_.push_back(std::move(channel));
    }

    const PartType& type_;
    Mistakes& mistakes_;
    std::vector<Channel> channels_;
};

}  // namespace

std::vector<Channel> make_channels(const std::vector<ChannelRecord>& records, const PartType& type,
                                   Mistakes& mistakes) {
    return ChannelMaker(type, mistakes).make(records);
}

}  // namespace voltsill
