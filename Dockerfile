# Build with the base image by its digest, so that the same build gives the same image:
#   docker build --build-arg NODE_IMAGE=node:24-bookworm-slim@sha256:... .
ARG NODE_IMAGE=node:24-bookworm-slim

FROM ${NODE_IMAGE} AS build
WORKDIR /app
COPY package.json package-lock.json .npmrc ./
RUN npm ci --no-audit --no-fund
COPY . .
RUN npm run build && npm prune --omit=dev --no-audit --no-fund

FROM ${NODE_IMAGE}
ENV NODE_ENV=production HOST=0.0.0.0 DATA_DIR=/data MALLOC_ARENA_MAX=1
WORKDIR /app
COPY --from=build /app/package.json ./
COPY --from=build /app/node_modules ./node_modules
COPY --from=build /app/prisma ./prisma
COPY --from=build /app/bin ./bin
COPY --from=build /app/contracts ./contracts
COPY --from=build /app/docs ./docs
COPY --from=build /app/dist ./dist
RUN ln -s /app/bin/packledger.js /usr/local/bin/packledger && install -d -o node -g node /data
USER node
VOLUME /data
EXPOSE 3000
HEALTHCHECK --interval=10s --timeout=6s --start-period=60s --retries=6 CMD ["packledger", "health"]
CMD ["node", "--max-old-space-size=256", "--max-semi-space-size=4", "dist/src/main.js"]
