# A static program, an unprivileged user, one volume for its data.
FROM golang:1.26 AS build
WORKDIR /src
COPY go.mod go.sum ./
RUN go mod download
COPY . .
RUN CGO_ENABLED=0 go build -trimpath -ldflags="-s -w" -o /benyomo ./cmd/benyomo && mkdir /empty

FROM scratch
COPY --from=build /etc/ssl/certs/ca-certificates.crt /etc/ssl/certs/
COPY --from=build /benyomo /benyomo
COPY --from=build --chown=65532:65532 /empty /data
USER 65532:65532
VOLUME /data
ENTRYPOINT ["/benyomo"]
CMD ["serve", "--config", "/etc/benyomo/community.yaml", "--data", "/data"]
