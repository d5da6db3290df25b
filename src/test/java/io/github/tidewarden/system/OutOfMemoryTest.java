package io.github.tidewarden.system;

import static org.assertj.core.api.Assertions.assertThat;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import java.util.regex.Matcher;
import java.util.regex.Pattern;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;

/** The service's own Java options end a process that has run out of memory (F55). */
class OutOfMemoryTest {
  private static final Pattern OPTIONS =
      Pattern.compile("ExecStart=/usr/bin/java (.+?)\\\\?\\s+-jar ", Pattern.DOTALL);

  /** What a Java ends with that was told to exit when memory runs out. */
  private static final int OUT_OF_MEMORY = 3;

  @TempDir private Path directory;

  @Test
  void endsTheProcessThoughTheProgramWouldGoOn() throws IOException {
    Matcher unit = OPTIONS.matcher(Files.readString(Path.of("systemd/tidewarden.service")));
    assertThat(unit.find()).isTrue();
    List<String> options = List.of(unit.group(1).trim().split("\\s+"));

    try (DaemonProcess hoarder = DaemonProcess.startMain(directory, options, Hoarder.class)) {
      assertThat(hoarder.awaitExit()).isEqualTo(OUT_OF_MEMORY);
      assertThat(hoarder.out()).doesNotContain(Hoarder.WENT_ON);
    }
  }

  /** Takes all the memory that there is, and would live on without what it could not get. */
  static final class Hoarder {
    static final String WENT_ON = "went on";

    private Hoarder() {}

    public static void main(String[] args) {
      List<byte[]> hoard = new ArrayList<>();
      try {
        while (hoard.size() < Integer.MAX_VALUE) {
          hoard.add(new byte[1 << 20]);
        }
      } catch (OutOfMemoryError e) {
        System.out.println(WENT_ON);
      }
    }
  }
}
