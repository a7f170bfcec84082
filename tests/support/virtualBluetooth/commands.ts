import type { Controller } from "./controller.ts";
import { addressBytes, addressText, commandComplete, commandStatus, leEvent, STATUS, u16 } from "./hci.ts";
import type { LinkParameters } from "./radioLink.ts";

type Run = (controller: Controller, params: Buffer, opcode: number) => void;

/** Answered at once with a status and return parameters. */
const complete =
  (answer: (controller: Controller, params: Buffer) => number | number[]): Run =>
  (controller, params, opcode) => {
    const said = answer(controller, params);
    controller.toHost(commandComplete(opcode, typeof said === "number" ? [said] : [STATUS.success, ...said]));
  };

const accepted = complete(() => STATUS.success);

function setAdvertisingParameters({ host }: Controller, params: Buffer): number {
  if (host.advertising.isOn) return STATUS.disallowed;
  const interval = params.readUInt16LE(0);
  if (interval < 0x20 || interval > 0x4000) return STATUS.invalidParameters;
  Object.assign(host.advertising, { interval, type: params.readUInt8(4), ownType: params.readUInt8(5) });
  return STATUS.success;
}

function enableAdvertising(controller: Controller, params: Buffer): number {
  const { advertising } = controller.host;
  const wasOn = advertising.isOn;
  advertising.isOn = params.readUInt8(0) === 1;
  if (advertising.isOn && !wasOn) controller.advertise();
  return STATUS.success;
}

const dataIn = (params: Buffer): number[] => Array.from(params.subarray(1, 1 + params.readUInt8(0)));

/** Limits of LE Create Connection, Bluetooth Core 5.4, Vol 4 Part E §7.8.12; `null` when they are broken. */
function linkParameters(params: Buffer, from: number): LinkParameters | null {
  const [min = 0, interval = 0, latency = 0, timeout = 0] = [0, 2, 4, 6].map((at) => params.readUInt16LE(from + at));
  const isSound = min <= interval && min >= 6 && interval <= 3200 && timeout >= 10 && timeout <= 3200;
  return isSound && timeout * 10 > (1 + latency) * interval * 1.25 * 2 ? { interval, latency, timeout } : null;
}

const createConnection: Run = (controller, params, opcode) => {
  const { host, links } = controller;
  const type = params.readUInt8(5);
  const address = addressText(params.subarray(6, 12));
  const parameters = linkParameters(params, 13);
  const isLinked = [...links.values()].some((link) => link.otherThan(controller).controller.ownAddress(type) === address);
  const refused = host.initiating !== null ? STATUS.disallowed : isLinked ? STATUS.connectionExists : null;
  if (refused !== null || parameters === null) {
    controller.toHost(commandStatus(opcode, refused ?? STATUS.invalidParameters));
    return;
  }
  host.initiating = { address, type, parameters };
  controller.air.onConnecting();
  controller.toHost(commandStatus(opcode, STATUS.success));
};

const cancelConnection: Run = (controller, _params, opcode) => {
  const wasInitiating = controller.host.initiating !== null;
  controller.host.initiating = null;
  controller.toHost(commandComplete(opcode, [wasInitiating ? STATUS.success : STATUS.disallowed]));
  // The connection that will not be is told as one that failed.
  if (wasInitiating) controller.toHost(leEvent(0x01, [STATUS.unknownConnection, ...Array(17).fill(0)]));
};

const disconnect: Run = (controller, params, opcode) => {
  const link = controller.links.get(params.readUInt16LE(0));
  controller.toHost(commandStatus(opcode, link === undefined ? STATUS.unknownConnection : STATUS.success));
  if (link === undefined) return;
  const isHeard = controller.air.hear(link.central.controller, link.peripheral.controller);
  const toOther = isHeard ? STATUS.remoteEnded : STATUS.timeout;
  if (controller === link.central.controller) link.drop(STATUS.localEnded, toOther);
  else link.drop(toOther, STATUS.localEnded);
};

const updateConnection: Run = (controller, params, opcode) => {
  const link = controller.links.get(params.readUInt16LE(0));
  const parameters = linkParameters(params, 2);
  controller.toHost(commandStatus(opcode, link === undefined ? STATUS.unknownConnection : STATUS.success));
  if (link === undefined || parameters === null) return;
  link.parameters = parameters;
  for (const { controller: one, handle } of [link.central, link.peripheral])
    one.toHost(leEvent(0x03, [0, ...u16(handle), ...u16(parameters.interval), ...u16(parameters.latency), ...u16(parameters.timeout)]));
};

const readRemoteFeatures: Run = (controller, params, opcode) => {
  controller.toHost(commandStatus(opcode, STATUS.success));
  controller.toHost(leEvent(0x04, [STATUS.success, ...params.subarray(0, 2), ...Array(8).fill(0)]));
};

/** By opcode: group (6 bits) and command (10 bits). */
export const COMMANDS: Readonly<Record<number, Run>> = {
  1030: disconnect,
  3073: accepted,
  3075: complete((controller) => {
    controller.reset();
    return STATUS.success;
  }),
  3180: complete(() => [1, 0]),
  3181: accepted,
  4097: complete(({ version }) => [version, 0, 0, version, 0xff, 0xff, 0, 0]),
  // Low Energy only: bits 37 and 38 of the features.
  4099: complete(() => [0, 0, 0, 0, 0x60, 0, 0, 0]),
  4101: complete(({ aclLength, aclBuffers }) => [...u16(aclLength), 0, ...u16(aclBuffers), 0, 0]),
  4105: complete(({ address }) => addressBytes(address)),
  5125: complete(({ rssi_dBm }, params) => [...params.subarray(0, 2), rssi_dBm & 0xff]),
  8193: accepted,
  8194: complete(({ aclLength, aclBuffers }) => [...u16(aclLength), aclBuffers]),
  8195: complete(() => Array(8).fill(0)),
  8197: complete(({ host }, params) => {
    host.randomAddress = addressText(params.subarray(0, 6));
    return STATUS.success;
  }),
  8198: complete(setAdvertisingParameters),
  8199: complete(() => [0]),
  8200: complete(({ host }, params) => {
    host.advertising.data = dataIn(params);
    return host.advertising.data.length > 31 ? STATUS.invalidParameters : STATUS.success;
  }),
  8201: complete(({ host }, params) => {
    host.advertising.response = dataIn(params);
    return host.advertising.response.length > 31 ? STATUS.invalidParameters : STATUS.success;
  }),
  8202: complete(enableAdvertising),
  8203: complete(({ host }, params) => {
    if (host.scanning.isOn) return STATUS.disallowed;
    host.scanning.isActive = params.readUInt8(0) === 1;
    return STATUS.success;
  }),
  8204: complete(({ host }, params) => {
    Object.assign(host.scanning, { isOn: params.readUInt8(0) === 1, filtersDuplicates: params.readUInt8(1) === 1, seen: new Set() });
    return STATUS.success;
  }),
  8205: createConnection,
  8206: cancelConnection,
  8207: complete(() => [0]),
  8208: accepted,
  8211: updateConnection,
  8214: readRemoteFeatures,
  8220: complete(() => Array(8).fill(0xff)),
};
