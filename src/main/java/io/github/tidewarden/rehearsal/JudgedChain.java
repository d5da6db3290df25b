package io.github.tidewarden.rehearsal;

import com.fasterxml.jackson.databind.JsonNode;
import com.fasterxml.jackson.databind.ObjectMapper;
import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.security.MessageDigest;
import java.security.NoSuchAlgorithmException;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.HexFormat;
import java.util.List;
import org.jspecify.annotations.Nullable;

/**
 * The chain of the audit in the judge's own words, as the site page about its format has it: each
 * line ends in the SHA-256 of the hash before it and of its own bytes before that end. Looked at is
 * what a start reads: the newest segment.
 */
final class JudgedChain {
  private static final String END = ",\"hash\":\"";
  private static final ObjectMapper JSON = new ObjectMapper();

  private JudgedChain() {}

  /**
   * The first line of the newest segment that is not what was written there; empty for none.
   *
   * @throws IOException when the disk cannot be listed
   */
  static String altered(SimulatedDisk disk) throws IOException {
    String newest = "";
    List<String> newestLines = List.of();
    long last = -1;
    for (String name : disk.list()) {
      List<String> lines = lines(disk.bytes(name));
      JsonNode opening = lines.isEmpty() ? null : json(lines.get(0));
      if (opening != null && opening.path("seq").asLong() > last) {
        last = opening.path("seq").asLong();
        newest = name;
        newestLines = lines;
      }
    }
    return newest.isEmpty() ? "" : altered(newest, newestLines);
  }

  private static String altered(String name, List<String> lines) {
    JsonNode opening = json(lines.get(0));
    String before = opening == null ? "" : opening.path("previous").asText();
    for (int i = 0; i < lines.size(); i++) {
      if (!isSound(before, lines.get(i))) {
        return name + ":" + (i + 1);
      }
      before = hash(lines.get(i));
    }
    return "";
  }

  /** Every line that has its newline, without it; one byte a character. */
  private static List<String> lines(byte[] bytes) {
    List<String> lines =
        new ArrayList<>(
            Arrays.asList(new String(bytes, StandardCharsets.ISO_8859_1).split("\n", -1)));
    lines.remove(lines.size() - 1);
    return lines;
  }

  private static boolean isSound(String before, String line) {
    int end = line.lastIndexOf(END);
    if (end < 0 || line.length() != end + END.length() + 64 + 2 || !line.endsWith("\"}")) {
      return false;
    }
    try {
      MessageDigest digest = MessageDigest.getInstance("SHA-256");
      digest.update(before.getBytes(StandardCharsets.ISO_8859_1));
      digest.update(line.substring(0, end).getBytes(StandardCharsets.ISO_8859_1));
      return HexFormat.of().formatHex(digest.digest()).equals(hash(line));
    } catch (NoSuchAlgorithmException e) {
      throw new IllegalStateException("every Java has SHA-256", e);
    }
  }

  private static String hash(String line) {
    return line.substring(line.length() - 66, line.length() - 2);
  }

  private static @Nullable JsonNode json(String line) {
    try {
      return JSON.readTree(line.getBytes(StandardCharsets.ISO_8859_1));
    } catch (IOException e) {
      return null;
    }
  }
}
