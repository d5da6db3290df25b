package io.github.tidewarden.audit;

import java.io.IOException;
import java.io.InputStream;
import java.nio.charset.StandardCharsets;
import java.time.DateTimeException;
import java.time.LocalDate;
import java.util.ArrayList;
import java.util.Comparator;
import java.util.List;
import java.util.regex.Matcher;
import java.util.regex.Pattern;
import org.jspecify.annotations.Nullable;

/**
 * The segments of an audit directory that concern some nights, as a directory of their own. They
 * are chosen by name but follow each other in the chain without a gap, since a segment that an
 * untrusted clock named wrongly can lie between.
 */
public final class Segments implements AuditFiles {

  /** Segments after the last night, for what the daemon's next lives tell of it. */
  private static final int AFTERWARDS = 2;

  private static final Pattern NAME =
      Pattern.compile("(\\d{4}-\\d{2}-\\d{2})(?:\\.[1-9]\\d{0,5})?\\.jsonl");
  private static final Pattern START = Pattern.compile("\\{\"seq\":(\\d{1,18}),.*");
  private static final int START_BYTES = 32;

  private final AuditFiles files;
  private final List<String> names;

  private record Segment(String name, LocalDate night, long seq) {}

  private Segments(AuditFiles files, List<String> names) {
    this.files = files;
    this.names = List.copyOf(names);
  }

  /**
   * Those from the night before {@code first} to the night after {@code last}.
   *
   * @throws IOException if the directory cannot be read
   */
  public static AuditFiles around(AuditFiles files, LocalDate first, LocalDate last)
      throws IOException {
    List<Segment> all = inOrder(files);
    int from = all.size();
    int to = 0;
    for (int i = 0; i < all.size(); i++) {
      LocalDate night = all.get(i).night();
      if (from == all.size() && !night.isBefore(first.minusDays(1))) {
        from = i;
      }
      if (!night.minusDays(1).isAfter(last)) {
        to = i + 1;
      }
    }
    // The state that the first of them opens with is needed even when the night itself has none.
    from = Math.max(0, Math.min(from, all.size() - 1));
    to = Math.min(all.size(), to + AFTERWARDS);
    return new Segments(
        files, from < to ? all.subList(from, to).stream().map(Segment::name).toList() : List.of());
  }

  /**
   * The night of the last segment; null when there is none.
   *
   * @throws IOException if the directory cannot be read
   */
  public static @Nullable LocalDate newestNight(AuditFiles files) throws IOException {
    List<Segment> all = inOrder(files);
    return all.isEmpty() ? null : all.get(all.size() - 1).night();
  }

  /**
   * The names of all segments, the oldest first, by the number with which each begins.
   *
   * @throws IOException if the directory cannot be read
   */
  public static List<String> names(AuditFiles files) throws IOException {
    return inOrder(files).stream().map(Segment::name).toList();
  }

  private static List<Segment> inOrder(AuditFiles files) throws IOException {
    List<Segment> segments = new ArrayList<>();
    for (String name : files.list()) {
      LocalDate night = night(name);
      if (night != null) {
        segments.add(new Segment(name, night, seq(files, name)));
      }
    }
    segments.sort(
        Comparator.comparingLong(Segment::seq)
            .thenComparing(Segment::night)
            .thenComparing(Segment::name));
    return segments;
  }

  private static @Nullable LocalDate night(String name) {
    Matcher matcher = NAME.matcher(name);
    try {
      return matcher.matches() ? LocalDate.parse(matcher.group(1)) : null;
    } catch (DateTimeException e) {
      return null;
    }
  }

  /** The number that a segment begins with; one that cannot be read is taken as the newest. */
  private static long seq(AuditFiles files, String name) {
    try (InputStream in = files.read(name)) {
      Matcher matcher =
          START.matcher(new String(in.readNBytes(START_BYTES), StandardCharsets.US_ASCII));
      return matcher.matches() ? Long.parseLong(matcher.group(1)) : Long.MAX_VALUE;
    } catch (IOException e) {
      return Long.MAX_VALUE;
    }
  }

  @Override
  public List<String> list() {
    return names;
  }

  @Override
  public InputStream read(String name) throws IOException {
    return files.read(name);
  }

  @Override
  public Appender create(String name) {
    throw readOnly();
  }

  @Override
  public void force(String name) {
    throw readOnly();
  }

  @Override
  public void syncDirectory() {
    throw readOnly();
  }

  @Override
  public void remove(String name) {
    throw readOnly();
  }

  @Override
  public String setAside(String name, long offset) {
    throw readOnly();
  }

  @Override
  public void markBegun() {
    throw readOnly();
  }

  @Override
  public boolean isBegun() throws IOException {
    return files.isBegun();
  }

  private static UnsupportedOperationException readOnly() {
    return new UnsupportedOperationException("these are only read");
  }
}
