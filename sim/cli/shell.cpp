// Completion for shells and the manual page: both are made from the options that --help shows.
#include <algorithm>
#include <iostream>
#include <memory>
#include <sstream>

#include "cli/commands.hpp"
#include "quantity/error.hpp"

namespace railseep {

namespace {

/// "--oil-temperature" of an option; empty for an argument that is told by its place.
std::string long_name(const CLI::Option& option) {
  const std::vector<std::string>& names = option.get_lnames();
  return names.empty() ? "" : "--" + names.front();
}

std::vector<std::string> options_of(const CLI::App& command) {
  std::vector<std::string> names;
  for (const CLI::Option* option : command.get_options())
    if (const std::string name = long_name(*option); !name.empty()) names.push_back(name);
  return names;
}

std::string joined(const std::vector<std::string>& words) {
  std::string text;
  for (const std::string& word : words) text += (text.empty() ? "" : " ") + word;
  return text;
}

/// A command with those that stand below it: "exercise", "exercise play" ...
struct NamedCommand {
  std::string name;
  const CLI::App* command;
};

std::vector<NamedCommand> all_commands(const CLI::App& program) {
  std::vector<NamedCommand> all;
  for (const CLI::App* command : program.get_subcommands({})) {
    all.push_back({command->get_name(), command});
    for (const CLI::App* below : command->get_subcommands({}))
      all.push_back({command->get_name() + " " + below->get_name(), below});
  }
  return all;
}

std::vector<std::string> names_of(const CLI::App& app) {
  std::vector<std::string> names;
  for (const CLI::App* command : app.get_subcommands({})) names.push_back(command->get_name());
  return names;
}

std::string bash_completion(const CLI::App& program) {
  std::ostringstream text;
  text << "_railseep() {\n  local word=${COMP_WORDS[COMP_CWORD]} words= command=${COMP_WORDS[1]}\n"
       << "  case $command in\n";
  for (const CLI::App* command : program.get_subcommands({}))
    if (const std::vector<std::string> below = names_of(*command); !below.empty())
      text << "    " << command->get_name() << ") if [ \"$COMP_CWORD\" = 2 ]; then COMPREPLY=($(compgen -W \""
           << joined(below) << " --help\" -- \"$word\")); return; fi; command=\"$command ${COMP_WORDS[2]}\" ;;\n";
  text << "  esac\n  if [ \"$COMP_CWORD\" = 1 ]; then words=\"" << joined(names_of(program))
       << " --help --version\"\n  else case $command in\n";
  for (const auto& [name, command] : all_commands(program))
    text << "    \"" << name << "\") words=\"" << joined(options_of(*command)) << "\" ;;\n";
  text << "  esac; fi\n  COMPREPLY=($(compgen -W \"$words\" -- \"$word\"))\n"
       << "  case $word in -*) ;; *) [ \"$COMP_CWORD\" = 1 ] || COMPREPLY+=($(compgen -f -- \"$word\")) ;; esac\n}\n"
       << "complete -o filenames -F _railseep railseep\n";
  return text.str();
}

/// A text between quotes of the shell.
std::string quoted(std::string text) {
  std::string safe;
  for (const char c : text)
    safe += c == '\''                          ? std::string("'\\''")
            : c == '[' || c == ']' || c == ':' ? std::string("\\") + c
                                               : std::string(1, c);
  return safe;
}

/// What _describe offers: the commands below one.
std::string described(const CLI::App& app) {
  std::string text = "    local -a commands=(\n";
  for (const CLI::App* command : app.get_subcommands({}))
    text += "      '" + command->get_name() + ":" + quoted(command->get_description()) + "'\n";
  return text + "    )\n    _describe command commands\n    return\n";
}

std::string zsh_completion(const CLI::App& program) {
  std::ostringstream text;
  text << "#compdef railseep\n_railseep() {\n  local command=$words[2]\n  if (( CURRENT == 2 )); then\n"
       << described(program) << "  fi\n";
  for (const CLI::App* command : program.get_subcommands({}))
    if (!command->get_subcommands({}).empty())
      text << "  if [[ $command = " << command->get_name() << " ]]; then\n    if (( CURRENT == 3 )); then\n"
           << described(*command) << "    fi\n    command=\"$command $words[3]\"\n  fi\n";
  text << "  case $command in\n";
  for (const auto& [name, command] : all_commands(program)) {
    text << "    \"" << name << "\") _arguments";
    for (const CLI::Option* option : command->get_options())
      if (const std::string option_name = long_name(*option); !option_name.empty())
        text << " \\\n      '" << option_name << "[" << quoted(option->get_description()) << "]"
             << (option->get_items_expected_max() > 0 ? ":value:_files" : "") << "'";
    text << " \\\n      '*:file:_files' ;;\n";
  }
  text << "  esac\n}\ncompdef _railseep railseep\n";
  return text.str();
}

/// A line of the manual: what the formatter takes for its own is told to be text.
std::string troff(const std::string& text) {
  std::string safe;
  for (const char c : text) safe += c == '\\' ? std::string("\\e") : c == '-' ? std::string("\\-") : std::string(1, c);
  return !safe.empty() && (safe[0] == '.' || safe[0] == '\'') ? "\\&" + safe : safe;
}

std::string manual(const CLI::App& program) {
  std::ostringstream text;
  text << ".TH RAILSEEP 1 \"\" \"" << program_name() << "\"\n.SH NAME\nrailseep \\- "
       << troff("find a high-pressure oil leak from what the crank shows")
       << "\n.SH SYNOPSIS\n.B railseep\n.I command\n"
       << "[argument ...] [option ...]\n.SH COMMANDS\n";
  for (const auto& [command_name, command] : all_commands(program)) {
    text << ".SS " << command_name << "\n" << troff(command->get_description()) << ".\n";
    for (const CLI::Option* option : command->get_options()) {
      const std::string name = long_name(*option);
      text << ".TP\n.B " << troff(name.empty() ? option->get_name() : name) << "\n"
           << troff(option->get_description())
           << (option->get_default_str().empty() ? "" : " (" + troff(option->get_default_str()) + ")") << "\n";
    }
  }
  text << ".SH EXIT STATUS\n";
  for (const auto& [code, meaning] :
       {std::pair(exit_done, "done"), std::pair(exit_usage, "the command was wrong"),
        std::pair(exit_bad_input,
                  "a file or value was wrong, or the answer could not be written; it says where and why"),
        std::pair(exit_must_be_told, "something must be told first; it says what to write"),
        std::pair(exit_verdict_no, "with --verdict: the answer is no"),
        std::pair(exit_verdict_open, "with --verdict: it cannot be said")})
    text << ".TP\n.B " << code << "\n" << meaning << "\n";
  text << ".SH ENVIRONMENT\n.TP\n.B RAILSEEP_UNITS\nUnits that are shown, such as \"bar degF\".\n.TP\n.B NO_COLOR\n"
          "Nothing is bold on a terminal.\n.SH FILES\n.TP\n.B ~/.config/railseep/settings.json, shop.json\n"
          "Units, shared with the window; the shop's name, address, mark and currency.\n";
  return text.str();
}

}  // namespace

void add_shell(CLI::App& program, Run& run) {
  auto shell = std::make_shared<std::string>();
  CLI::App* completion = program.add_subcommand("completion", "Print what lets a shell complete commands and options");
  completion->add_option("shell", *shell, "bash or zsh")->required()->check(CLI::IsMember({"bash", "zsh"}));
  completion->callback([shell, &program, &run] {
    run = [shell, &program] {
      std::cout << (*shell == "bash" ? bash_completion(program) : zsh_completion(program));
      return exit_done;
    };
  });
  program.add_subcommand("manual", "Print the manual page: railseep manual | man -l -")->callback([&program, &run] {
    run = [&program] {
      std::cout << manual(program);
      return exit_done;
    };
  });
}

}  // namespace railseep
