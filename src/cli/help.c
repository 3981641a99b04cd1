/* help.c: what the program says of itself, printed from its own tables. */
#include "cli.h"

#include <stdio.h>
#include <string.h>

static void print_commands(void)
{
  puts("checkstrip: from hybrid-trial plot lists to answers fit to hand to a grower\n");
  for (const cli_command *command = cli_commands; command->name; command++)
    printf("  checkstrip %-10s %-25s %s\n", command->name, command->takes, command->sentence);
  puts("\nFirst time: checkstrip summarize plots.csv\n"
       "  plots.csv has one row a plot with headings such as location, rep, hybrid, yield, moisture, mid-bloom.\n"
       "  Walk notes and harvest files without hybrids go with it, in any order, and are joined by location and plot:\n"
       "  checkstrip summarize plots.csv walk.csv creek-harvest.csv\n"
       "\nExit codes: 0 done, 1 data refused, 2 wrong usage, 3 no trait gave a result, 4 file or memory.");
}

static void print_rules(void)
{
  puts("Rules of the audit. An error stops the analysis; warnings and notes travel into every output.\n");
  for (int severity = CKS_ERROR; severity <= CKS_NOTE; severity++)
    for (int rule = 0; rule < CKS_RULE_COUNT; rule++) {
      const cks_rule_fact *fact = cks_rule_find((cks_rule)rule);
      if ((int)fact->severity == severity)
        printf("%-8s %-28s %s\n", cks_severity_text(fact->severity), fact->name, fact->sentence);
    }
}

/* "a|b|c" as "a, b, c", broken into lines. */
static void print_words(const char *words, int indent, int width)
{
  int column = indent;
  for (const char *at = words; *at;) {
    int n = (int)strcspn(at, "|");
    if (column > indent && column + n + 2 > width) {
      printf("\n%*s", indent, "");
      column = indent;
    }
    column += printf("%.*s%s", n, at, at[n] ? ", " : "");
    at += n + (at[n] == '|');
  }
  putchar('\n');
}

static void print_headings(void)
{
  puts("Headings that are known, in any case, with or without spaces, punctuation and a unit: Yield (bu/ac), "
       "yield_bu_ac.\n"
       "--heading ROLE=TEXT takes another heading for a role; --trait TEXT takes any numeric column as a trait.\n");
  bool weather = false;
  for (int role = 0; role < CKS_ROLE_COUNT; role++) {
    const cks_role_fact *fact = cks_role_find((cks_role)role);
    if (cks_role_is_asked((cks_role)role)) continue;
    if (fact->role_class == CKS_CLASS_WEATHER && !weather)
      puts("\nIn the files of --weather and --normal, beside location and year, and nowhere else:");
    weather |= fact->role_class == CKS_CLASS_WEATHER;
    printf("%-18s %-8s ", fact->key,
           fact->kind == CKS_DATE   ? "date"
           : fact->kind == CKS_NAME ? "name"
                                    : cks_unit_text(fact->unit));
    print_words(fact->synonyms, 28, 110);
  }
}

static void print_crops(void)
{
  printf("%-22s %-14s %s\n", "crop", "lb a bushel", "standard moisture, %");
  for (size_t i = 0; cks_crop_at(i); i++) {
    const cks_crop *crop = cks_crop_at(i);
    char bushel[CKS_NUMBER_TEXT] = "none: tons", moisture[CKS_NUMBER_TEXT] = "none: dry matter";
    if (!cks_is_missing(crop->bushel_lb)) snprintf(bushel, sizeof bushel, "%g", crop->bushel_lb);
    if (!cks_is_missing(crop->moisture_pct)) snprintf(moisture, sizeof moisture, "%g", crop->moisture_pct);
    printf("%-22s %-14s %s\n", crop->key, bushel, moisture);
  }
}

static void print_schemes(void)
{
  puts("Heat units to the stages of sorghum, as each source counts them: from its own origin, with its own base and "
       "cap.\n"
       "Figures of different schemes are never compared or added.\n");
  printf("%-24s %-12s %9s %11s %s\n", "scheme", "counted from", "mid-bloom", "black layer", "source");
  for (size_t i = 0; cks_stage_scheme_at(i); i++) {
    const cks_stage_scheme *s = cks_stage_scheme_at(i);
    printf("%-24s %-12s %9g %11g %s; %s\n", s->key, cks_stage_at(s->origin)->label,
           cks_stage_units(s, CKS_STAGE_MID_BLOOM), cks_stage_units(s, CKS_STAGE_BLACK_LAYER), s->source,
           cks_heat_scheme_find(s->heat)->label);
  }
}

static void print_command(const cli_command *command)
{
  printf("checkstrip %s %s\n%s\n\n%s%s", command->name, command->takes, command->sentence, command->examples,
         *command->examples ? "\n" : "");
  if (strcmp(command->name, "help")) cli_options_print(command);
}

int cli_help(const cli_call *call)
{
  const char *topic = call->n_file ? call->file[0] : "";
  const cli_command *command = cli_command_find(topic);
  if (!*topic)
    print_commands();
  else if (!strcmp(topic, "headings"))
    print_headings();
  else if (!strcmp(topic, "crops"))
    print_crops();
  else if (!strcmp(topic, "schemes"))
    print_schemes();
  else if (command)
    print_command(command);
  else
    return cli_say("no help on '%s'; 'checkstrip help' lists the commands", topic), CLI_USAGE;
  if (command && !strcmp(command->name, "audit")) {
    putchar('\n');
    print_rules();
  }
  return CLI_DONE;
}
