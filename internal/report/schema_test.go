package report

import (
	"bytes"
	"encoding/json"
	"os"
	"reflect"
	"strings"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v6"
)

// schemaOf describes a type of the report as JSON Schema.
func schemaOf(t reflect.Type) map[string]any {
	switch {
	case t == reflect.TypeFor[Number]():
		return map[string]any{"type": []string{"number", "null"}}
	case t.Kind() == reflect.Pointer:
		return map[string]any{"anyOf": []any{schemaOf(t.Elem()), map[string]any{"type": "null"}}}
	case t.Kind() == reflect.Slice:
		return map[string]any{"type": "array", "items": schemaOf(t.Elem())}
	case t.Kind() == reflect.Array:
		return map[string]any{"type": "array", "items": schemaOf(t.Elem()), "minItems": t.Len(), "maxItems": t.Len()}
	case t.Kind() == reflect.Struct:
		properties, required := map[string]any{}, []string{}
		for i := range t.NumField() {
			key, options, _ := strings.Cut(t.Field(i).Tag.Get("json"), ",")
			properties[key] = schemaOf(t.Field(i).Type)
			if options == "string" {
				properties[key] = map[string]any{"type": "string", "pattern": "^[0-9]+$"}
			}
			required = append(required, key)
		}
		return map[string]any{"type": "object", "properties": properties, "required": required}
	case t.Kind() == reflect.String:
		return map[string]any{"type": "string"}
	case t.Kind() == reflect.Bool:
		return map[string]any{"type": "boolean"}
	}
	return map[string]any{"type": "integer"}
}

// The published schema changes only together with the report's types.
func TestSchemaIsThatOfTheReport(t *testing.T) {
	schema := schemaOf(reflect.TypeFor[Report]())
	schema["$schema"] = "https://json-schema.org/draft/2020-12/schema"
	schema["title"] = "Foilwright report of an attempt, version 1; thicknesses in µm, null where not known"
	properties := schema["properties"].(map[string]any)
	properties["format"] = map[string]any{"const": Format}
	properties["version"] = map[string]any{"const": Version}
	got, err := json.MarshalIndent(schema, "", " ")
	if err != nil {
		t.Fatal(err)
	}
	got = append(got, '\n')
	if *update {
		if err := os.WriteFile("report.schema.json", got, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile("report.schema.json")
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(got, want) {
		t.Errorf("report.schema.json differs at byte %d: a key that went or changed its meaning asks for a new Version; then run with -update", firstDifference(got, want))
	}
}

func TestReportsKeepTheSchema(t *testing.T) {
	schema, err := jsonschema.NewCompiler().Compile("report.schema.json")
	if err != nil {
		t.Fatal(err)
	}
	for name, h := range map[string]hands{"competent": {}, "poor": poor, "not reported": {stop: "verify"}, "nothing done": {stop: "start"}} {
		text := written(t, reportOf(t, given, attempt(t, 7, h)), (*Report).JSON)
		doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(text))
		if err != nil {
			t.Fatal(err)
		}
		if err := schema.Validate(doc); err != nil {
			t.Errorf("%s: %v", name, err)
		}
		// A schema that takes everything would prove nothing.
		doc.(map[string]any)["series"] = "none"
		if schema.Validate(doc) == nil {
			t.Errorf("%s: the schema takes a report without a series", name)
		}
	}
}
