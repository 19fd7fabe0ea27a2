/* global GraphiQL, React, ReactDOM */

const address = new URL("/graphql", location.href);
const socketAddress = new URL(address);
socketAddress.protocol = address.protocol.replace("http", "ws");

const EXAMPLE = `# The packs on record with their ratings.
{
  packs(first: 5) {
    edges {
      node {
        id
        name
        chemistry
        series
      }
    }
  }
}
`;

const fetcher = GraphiQL.createFetcher({ url: address.href, subscriptionUrl: socketAddress.href });
ReactDOM.createRoot(document.getElementById("explorer")).render(
  React.createElement(GraphiQL, { fetcher, defaultQuery: EXAMPLE, defaultEditorToolsVisibility: "variables" }),
);
