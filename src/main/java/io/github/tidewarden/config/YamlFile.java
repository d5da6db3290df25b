package io.github.tidewarden.config;

import java.nio.ByteBuffer;
import java.nio.CharBuffer;
import java.nio.charset.CharsetDecoder;
import java.nio.charset.CoderResult;
import java.nio.charset.CodingErrorAction;
import java.nio.charset.StandardCharsets;
import java.util.Optional;
import org.jspecify.annotations.Nullable;
import org.snakeyaml.engine.v2.api.LoadSettings;
import org.snakeyaml.engine.v2.api.lowlevel.Compose;
import org.snakeyaml.engine.v2.api.lowlevel.Parse;
import org.snakeyaml.engine.v2.events.Event;
import org.snakeyaml.engine.v2.events.NodeEvent;
import org.snakeyaml.engine.v2.events.ScalarEvent;
import org.snakeyaml.engine.v2.exceptions.Mark;
import org.snakeyaml.engine.v2.exceptions.MarkedYamlEngineException;
import org.snakeyaml.engine.v2.exceptions.ReaderException;
import org.snakeyaml.engine.v2.exceptions.YamlEngineException;
import org.snakeyaml.engine.v2.nodes.Node;
import org.snakeyaml.engine.v2.nodes.Tag;
import org.snakeyaml.engine.v2.resolver.CoreScalarResolver;
import org.snakeyaml.engine.v2.resolver.ScalarResolver;
import org.snakeyaml.engine.v2.schema.CoreSchema;

/** From bytes to the nodes of one YAML 1.2 document, within limits. */
final class YamlFile {
  /** Largest file, bytes. */
  static final int MAX_BYTES = 1 << 20;

  /** Deepest nesting of lists and mappings. */
  static final int MAX_DEPTH = 20;

  /** Complaints about what is not read; what follows them is not looked at. */
  private static final int MAX_UNREAD = 20;

  private static final String UNREAD = "anchors, aliases and merge keys are not read";

  private static final LoadSettings SETTINGS =
      LoadSettings.builder()
          .setSchema(new PlainSchema())
          .setUseMarks(true)
          .setAllowDuplicateKeys(true) // complained about by Section, with both places
          .setAllowNonScalarKeys(true) // likewise
          .setCodePointLimit(MAX_BYTES)
          .setMaxAliasesForCollections(0)
          .build();

  /** YAML 1.2 without the merging of mappings, which 1.2 does not know: `<<` is a key like any. */
  private static final class PlainSchema extends CoreSchema {
    @Override
    public ScalarResolver getScalarResolver() {
      return new CoreScalarResolver(false);
    }
  }

  private YamlFile() {}

  /**
   * The root node, or null after a complaint.
   *
   * @param beginning what would be right where the file is empty
   */
  static @Nullable Node read(byte[] bytes, Complaints complaints, String beginning) {
    if (bytes.length > MAX_BYTES) {
      complaints.add(Place.START, "the file is larger than 1 MiB", "at most 1 MiB");
      return null;
    }
    String text = decode(bytes, complaints);
    if (text == null) {
      return null;
    }
    try {
      if (!withinLimits(text, complaints)) {
        return null;
      }
      Optional<Node> root = new Compose(SETTINGS).composeString(text);
      if (root.isEmpty()) {
        complaints.add(Place.START, "the file is empty", beginning);
      }
      return root.orElse(null);
    } catch (MarkedYamlEngineException e) {
      complaints.add(
          e.getProblemMark().or(e::getContextMark).map(YamlFile::place).orElse(Place.START),
          "this is not YAML: " + e.getProblem(),
          "see the place and the line before it for indentation, quotes and brackets");
    } catch (ReaderException e) {
      complaints.add(
          placeOfCodePoint(text, e.getPosition()),
          "a character that YAML does not allow",
          "take it out or write it as an escape in double quotes");
    } catch (YamlEngineException e) {
      complaints.add(Place.START, "this is not YAML: " + e.getMessage(), "YAML 1.2 is read");
    }
    return null;
  }

  static Place place(Mark mark) {
    return new Place(mark.getLine() + 1, mark.getColumn() + 1);
  }

  /**
   * Depth, aliases and documents are checked on events, before anything recursive sees the text.
   */
  private static boolean withinLimits(String text, Complaints complaints) {
    int depth = 0;
    int documents = 0;
    int unread = 0;
    for (Event event : new Parse(SETTINGS).parseString(text)) {
      Place place = event.getStartMark().map(YamlFile::place).orElse(Place.START);
      switch (event.getEventId()) {
        case DocumentStart -> documents++;
        case MappingStart, SequenceStart -> depth++;
        case MappingEnd, SequenceEnd -> depth--;
        default -> {}
      }
      if (documents > 1) {
        complaints.add(place, "a second document begins", "one document a file");
        return false;
      }
      if (depth > MAX_DEPTH) {
        complaints.add(place, "nested too deeply", "at most " + MAX_DEPTH + " levels");
        return false;
      }
      String remedy = remedy(event);
      if (remedy != null) {
        complaints.add(place, UNREAD, remedy);
        if (++unread >= MAX_UNREAD) {
          return false;
        }
      }
    }
    return unread == 0;
  }

  /** What would be right in place of what refers to another part of the file; else null. */
  private static @Nullable String remedy(Event event) {
    if (event instanceof ScalarEvent scalar
        && scalar.getTag().filter(Tag.MERGE.getValue()::equals).isPresent()) {
      return "write the keys out";
    }
    if (event instanceof NodeEvent node && node.getAnchor().isPresent()) {
      return node.getEventId() == Event.ID.Alias ? "write the value out" : "take the anchor out";
    }
    return null;
  }

  private static @Nullable String decode(byte[] bytes, Complaints complaints) {
    CharsetDecoder decoder =
        StandardCharsets.UTF_8
            .newDecoder()
            .onMalformedInput(CodingErrorAction.REPORT)
            .onUnmappableCharacter(CodingErrorAction.REPORT);
    CharBuffer text = CharBuffer.allocate(bytes.length);
    CoderResult result = decoder.decode(ByteBuffer.wrap(bytes), text, true);
    text.flip();
    if (result.isError()) {
      complaints.add(
          placeOfCodePoint(text.toString(), Integer.MAX_VALUE),
          "a byte that is not UTF-8",
          "save the file as UTF-8");
      return null;
    }
    String decoded = text.toString();
    return decoded.startsWith("\uFEFF") ? decoded.substring(1) : decoded;
  }

  private static Place placeOfCodePoint(String text, int position) {
    int[] codePoints = text.codePoints().limit(position).toArray();
    int line = 1;
    int column = 1;
    for (int codePoint : codePoints) {
      column++;
      if (codePoint == '\n') {
        line++;
        column = 1;
      }
    }
    return new Place(line, column);
  }
}
