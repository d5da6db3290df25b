package io.github.tidewarden.cli;

import io.github.tidewarden.daemon.Exit;
import picocli.CommandLine;
import picocli.CommandLine.Command;

/** The command line. Data goes to stdout, diagnostics to stderr, exit codes follow sysexits.h. */
@Command(
    name = "tidewarden",
    description =
        "Night ozone and daily water exchange for marine aquaria, unattended and accounted for.",
    mixinStandardHelpOptions = true,
    versionProvider = Tidewarden.Version.class,
    subcommands = {
      RunVerb.class,
      CheckVerb.class,
      PlanVerb.class,
      DemoVerb.class,
      ReviewVerb.class,
      AuditVerb.class,
      ResetVerb.class,
      NoteVerb.class
    },
    synopsisSubcommandLabel = "VERB",
    footer = {
      "",
      "Exit codes: 0 ok, 64 usage, 65 not as it should be, 69 no answer,",
      "70 internal fault, 74 input or output, 75 another daemon, 77 credential, 78 configuration."
    })
public final class Tidewarden {
  Tidewarden() {}

  /** Runs one verb and exits with its code. */
  public static void main(String[] args) {
    System.exit(run(args));
  }

  /** Runs one verb; returns its exit code. */
  static int run(String... args) {
    CommandLine line =
        new CommandLine(new Tidewarden())
            .setExecutionExceptionHandler(
                (exception, command, parsed) -> {
                  command.getErr().println("tidewarden: " + exception);
                  return Exit.SOFTWARE.code();
                });
    wrongUseIs64(line);
    return line.execute(args);
  }

  private static void wrongUseIs64(CommandLine line) {
    line.getCommandSpec().exitCodeOnInvalidInput(Exit.USAGE.code());
    line.getSubcommands().values().forEach(Tidewarden::wrongUseIs64);
  }

  /** The version from the jar. */
  static final class Version implements CommandLine.IVersionProvider {
    @Override
    public String[] getVersion() {
      String version = Tidewarden.class.getPackage().getImplementationVersion();
      return new String[] {"tidewarden " + (version == null ? "unpackaged" : version)};
    }
  }
}
