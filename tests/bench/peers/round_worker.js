// Sends back what it is sent.
self.onconnect = ({ ports: [port] }) => {
  port.onmessage = ({ data }) => port.postMessage(data);
};
