package io.github.tidewarden.audit;

import com.fasterxml.jackson.core.JsonGenerator;
import com.fasterxml.jackson.databind.JsonNode;
import io.github.tidewarden.control.AuditRecord;
import java.io.IOException;
import java.lang.reflect.Constructor;
import java.lang.reflect.Field;
import java.lang.reflect.Modifier;
import java.lang.reflect.ParameterizedType;
import java.lang.reflect.Type;
import java.math.BigDecimal;
import java.nio.charset.StandardCharsets;
import java.time.Instant;
import java.time.LocalDate;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.Base64;
import java.util.LinkedHashMap;
import java.util.LinkedHashSet;
import java.util.List;
import java.util.Map;
import java.util.Set;
import org.jspecify.annotations.Nullable;

/**
 * The core's own values as JSON, and back, to the last bit: what a trace is made of. A record is an
 * object of its components; one of a sealed family is an object with its name as the only key. A
 * class of the core that is no record is written by the fields that its one constructor takes.
 * Nothing is written by hand, so that no part of a state can be forgotten.
 */
final class TraceValues {

  private static final String OURS = "io.github.tidewarden.";
  private static final String BASE64 = "base64";

  private TraceValues() {}

  /** How the values of one class are taken apart and put together. */
  private record Shape(Constructor<?> constructor, List<Field> fields) {
    static final ClassValue<Shape> OF =
        new ClassValue<>() {
          @Override
          protected Shape computeValue(Class<?> type) {
            return of(type);
          }
        };

    private static Shape of(Class<?> type) {
      List<Field> fields = new ArrayList<>();
      for (Field field : type.getDeclaredFields()) {
        if (!Modifier.isStatic(field.getModifiers())) {
          field.setAccessible(true);
          fields.add(field);
        }
      }
      for (Constructor<?> constructor : type.getDeclaredConstructors()) {
        int taken = constructor.getParameterCount();
        if (taken <= fields.size()
            && Arrays.equals(
                constructor.getParameterTypes(),
                fields.stream().limit(taken).map(Field::getType).toArray())
            && (!type.isRecord() || taken == fields.size())) {
          constructor.setAccessible(true);
          return new Shape(constructor, List.copyOf(fields.subList(0, taken)));
        }
      }
      throw new IllegalArgumentException(type + " cannot be put together from its fields");
    }
  }

  /**
   * Writes a value.
   *
   * @param type as it is declared where the value stands
   * @throws IllegalArgumentException if it is of a kind that has no form here
   */
  static void write(JsonGenerator json, Type type, @Nullable Object value) throws IOException {
    if (value == null) {
      json.writeNull();
    } else if (raw(type).isSealed()) {
      json.writeStartObject();
      json.writeFieldName(value.getClass().getSimpleName());
      writeObject(json, value);
      json.writeEndObject();
    } else {
      writeWhole(json, type, value);
    }
  }

  private static void writeWhole(JsonGenerator json, Type type, Object value) throws IOException {
    if (value instanceof Boolean flag) {
      json.writeBoolean(flag);
    } else if (value instanceof Integer number) {
      json.writeNumber(number);
    } else if (value instanceof Long number) {
      json.writeNumber(number);
    } else if (value instanceof Double number) {
      json.writeNumber(number);
    } else if (value instanceof BigDecimal number) {
      json.writeNumber(number.toPlainString());
    } else if (value instanceof byte[] bytes) {
      write(json, bytes);
    } else if (value instanceof long[] numbers) {
      json.writeArray(numbers, 0, numbers.length);
    } else if (value instanceof double[] numbers) {
      json.writeArray(numbers, 0, numbers.length);
    } else if (value instanceof Map<?, ?> map) {
      write(json, argument(type, 1), map);
    } else if (value instanceof Iterable<?> elements) {
      json.writeStartArray();
      for (Object element : elements) {
        write(json, argument(type, 0), element);
      }
      json.writeEndArray();
    } else if (value instanceof Enum<?> constant) {
      json.writeString(constant.name());
    } else if (value instanceof String || isTime(value.getClass())) {
      json.writeString(value.toString());
    } else {
      writeObject(json, value);
    }
  }

  private static void write(JsonGenerator json, Type values, Map<?, ?> map) throws IOException {
    json.writeStartObject();
    for (Map.Entry<?, ?> entry : map.entrySet()) {
      Object key = entry.getKey();
      json.writeFieldName(key instanceof Enum<?> constant ? constant.name() : key.toString());
      write(json, values, entry.getValue());
    }
    json.writeEndObject();
  }

  /** Text where it is UTF-8, which is what nearly every device sends. */
  private static void write(JsonGenerator json, byte[] bytes) throws IOException {
    String text = new String(bytes, StandardCharsets.UTF_8);
    if (Arrays.equals(text.getBytes(StandardCharsets.UTF_8), bytes)) {
      json.writeString(text);
    } else {
      json.writeStartObject();
      json.writeStringField(BASE64, Base64.getEncoder().encodeToString(bytes));
      json.writeEndObject();
    }
  }

  private static void writeObject(JsonGenerator json, Object value) throws IOException {
    Class<?> type = value.getClass();
    mustBeOurs(type);
    json.writeStartObject();
    for (Field field : Shape.OF.get(type).fields()) {
      json.writeFieldName(field.getName());
      write(json, declared(field), get(field, value));
    }
    json.writeEndObject();
  }

  /**
   * Reads a value.
   *
   * @param type as it is declared where the value stands
   * @throws IllegalArgumentException if it is not what {@link #write} would have written for the
   *     type: another version of the program may have
   */
  static @Nullable Object read(JsonNode node, Type type) {
    Class<?> raw = raw(type);
    if (node.isNull()) {
      return null;
    }
    if (raw.isSealed()) {
      Map.Entry<String, JsonNode> only = node.properties().iterator().next();
      for (Class<?> one : raw.getPermittedSubclasses()) {
        if (one.getSimpleName().equals(only.getKey())) {
          return readObject(only.getValue(), one);
        }
      }
      throw new IllegalArgumentException("no " + raw.getSimpleName() + " named " + only.getKey());
    }
    if (raw == Object.class) {
      return readAny(node);
    }
    if (raw == boolean.class || raw == Boolean.class) {
      return node.booleanValue();
    }
    if (raw == int.class || raw == Integer.class) {
      return node.intValue();
    }
    if (raw == long.class || raw == Long.class) {
      return node.longValue();
    }
    if (raw == double.class || raw == Double.class) {
      return number(node);
    }
    return readWhole(node, type, raw);
  }

  private static Object readWhole(JsonNode node, Type type, Class<?> raw) {
    if (raw == byte[].class) {
      return node.isTextual()
          ? node.textValue().getBytes(StandardCharsets.UTF_8)
          : Base64.getDecoder().decode(node.path(BASE64).textValue());
    }
    if (raw == long[].class) {
      long[] numbers = new long[node.size()];
      Arrays.setAll(numbers, i -> node.get(i).longValue());
      return numbers;
    }
    if (raw == double[].class) {
      double[] numbers = new double[node.size()];
      Arrays.setAll(numbers, i -> number(node.get(i)));
      return numbers;
    }
    if (raw == Map.class) {
      Map<Object, @Nullable Object> map = new LinkedHashMap<>();
      node.properties()
          .forEach(
              entry ->
                  map.put(
                      key(entry.getKey(), raw(argument(type, 0))),
                      read(entry.getValue(), argument(type, 1))));
      return map;
    }
    if (raw == List.class || raw == Set.class) {
      List<@Nullable Object> list = new ArrayList<>();
      node.forEach(element -> list.add(read(element, argument(type, 0))));
      return raw == List.class ? list : new LinkedHashSet<>(list);
    }
    return raw == String.class || raw.isEnum() || isTime(raw)
        ? key(node.textValue(), raw)
        : readObject(node, raw);
  }

  private static Object readObject(JsonNode node, Class<?> type) {
    mustBeOurs(type);
    Shape shape = Shape.OF.get(type);
    Object[] values = new Object[shape.fields().size()];
    for (int i = 0; i < values.length; i++) {
      Field field = shape.fields().get(i);
      JsonNode value = node.get(field.getName());
      if (value == null) {
        throw new IllegalArgumentException(
            "a " + type.getSimpleName() + " without " + field.getName());
      }
      values[i] = read(value, declared(field));
    }
    if (node.size() != values.length) {
      throw new IllegalArgumentException("a " + type.getSimpleName() + " with more than it has");
    }
    try {
      return shape.constructor().newInstance(values);
    } catch (ReflectiveOperationException e) {
      throw new IllegalArgumentException("not a " + type.getSimpleName() + ": " + e.getCause(), e);
    }
  }

  /** What the fields of an audit record may be. */
  private static Object readAny(JsonNode node) {
    if (node.isObject()) {
      Map<String, Object> map = new LinkedHashMap<>();
      node.properties().forEach(entry -> map.put(entry.getKey(), readAny(entry.getValue())));
      return map;
    }
    if (node.isArray()) {
      List<Object> list = new ArrayList<>();
      node.forEach(element -> list.add(readAny(element)));
      return list;
    }
    if (node.isBoolean()) {
      return node.booleanValue();
    }
    if (node.isNumber()) {
      return node.isIntegralNumber() && node.canConvertToLong()
          ? (Object) node.longValue()
          : node.decimalValue();
    }
    return node.textValue();
  }

  private static double number(JsonNode node) {
    // What JSON has no number for is written as text: NaN, and the infinities.
    return node.isTextual() ? Double.parseDouble(node.textValue()) : node.doubleValue();
  }

  private static Object key(String text, Class<?> type) {
    if (type == String.class) {
      return text;
    }
    if (type == Long.class) {
      return Long.valueOf(text);
    }
    if (type == Instant.class) {
      return Instant.parse(text);
    }
    if (type == LocalDate.class) {
      return LocalDate.parse(text);
    }
    for (Object constant : type.isEnum() ? type.getEnumConstants() : new Object[0]) {
      if (((Enum<?>) constant).name().equals(text)) {
        return constant;
      }
    }
    throw new IllegalArgumentException("no " + type.getSimpleName() + " is written " + text);
  }

  private static boolean isTime(Class<?> type) {
    return type == Instant.class || type == LocalDate.class;
  }

  private static void mustBeOurs(Class<?> type) {
    if (!type.getName().startsWith(OURS)) {
      throw new IllegalArgumentException("a value of " + type + " has no form in a trace");
    }
  }

  /** The fields of a record of the audit say of themselves what they are. */
  private static Type declared(Field field) {
    return field.getDeclaringClass() == AuditRecord.class && field.getType() == Map.class
        ? Object.class
        : field.getGenericType();
  }

  private static @Nullable Object get(Field field, Object value) {
    try {
      return field.get(value);
    } catch (IllegalAccessException e) {
      throw new IllegalStateException("it was made accessible", e);
    }
  }

  private static Class<?> raw(Type type) {
    return type instanceof Class<?> plain
        ? plain
        : type instanceof ParameterizedType parameterized
            ? (Class<?>) parameterized.getRawType()
            : Object.class;
  }

  private static Type argument(Type type, int index) {
    return type instanceof ParameterizedType parameterized
        ? parameterized.getActualTypeArguments()[index]
        : Object.class;
  }
}
