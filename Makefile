# Short names for the commands of the README and DEVELOPERS.md; nothing here is needed to build.
.PHONY: start test bench fuzz wasm desk bits update-golden

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

# The desk with the bench for browsers inside: one file that serves a class.
desk: wasm
	mkdir -p cmd/foilwright-desk/onebinary
	gzip -9 -n -c build/foilwright.wasm >cmd/foilwright-desk/onebinary/foilwright.wasm.gz
	cp "$$(go env GOROOT)/lib/wasm/wasm_exec.js" cmd/foilwright-desk/onebinary/
	CGO_ENABLED=0 go build -trimpath -ldflags='-s -w' -tags onebinary -o build/foilwright-desk ./cmd/foilwright-desk

# The same bits on every target.
bits:
	sh .ci/test bits

# Write every golden file anew; read the difference before committing it.
update-golden:
	go test $$(grep -rlE --include='*_test.go' 'flag\.Bool\("update"' cmd internal sim scenarios | xargs -n1 dirname | sort -u | sed 's,^,./,') -update
