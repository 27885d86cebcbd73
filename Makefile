# Short names for the commands of the README and DEVELOPERS.md; nothing here is needed to build.
.PHONY: start test bench fuzz wasm bits update-golden

start:
	go run ./cmd/foilwright-desk start

test:
	sh .ci/test

# Benchmarks beside the code they measure; compare ratios within one run.
bench:
	go test -run '^$$' -bench . -benchmem ./...

# Each fuzz target for a minute, or as long as FUZZ_TIME says.
fuzz:
	FUZZ_TIME=$${FUZZ_TIME:-60s} sh .ci/test fuzz

wasm:
	CGO_ENABLED=0 GOOS=js GOARCH=wasm go build -trimpath -ldflags='-s -w' -o build/foilwright.wasm ./cmd/foilwright

# The same bits on every target.
bits:
	sh .ci/test bits

# Write every golden file anew; read the difference before committing it.
update-golden:
	go test $$(grep -rlE --include='*_test.go' 'flag\.Bool\("update"' cmd internal sim scenarios | xargs -n1 dirname | sort -u | sed 's,^,./,') -update
