//! Where the logger is: a serial port found by its USB descriptor, one that is named, or one behind a network bridge.

use std::io::{self, Read, Write};
use std::net::{TcpStream, ToSocketAddrs};
use std::path::Path;
use std::time::Duration;

use serialport::{SerialPortInfo, SerialPortType};

/// The name that a logger gives itself on the bus.
const PRODUCT: &str = "tubtrace logger";

/// Its vendor and product numbers, for systems that do not hand on the name.
const NUMBERS: (u16, u16) = (0x1209, 0x0001);

/// A port behind a bridge from a serial port to a network: `tcp:HOST:PORT`.
const NETWORK: &str = "tcp:";

/// How long one read waits; the link itself is more patient.
const SLICE: Duration = Duration::from_millis(100);

/// A wire to a logger.
pub trait Wire: Read + Write + Send {}
impl<T: Read + Write + Send> Wire for T {}

/// Why there is no wire.
#[derive(Debug, thiserror::Error)]
pub enum PortError {
    /// No logger is plugged in.
    #[error(
        "no logger found; plug it in with a cable that carries data, or name its port with --port (ports here: {0})"
    )]
    None(String),
    /// More than one logger is plugged in and no port was named; holds their ports.
    #[error("several loggers are plugged in; name one with --port: {0}")]
    Several(String),
    /// A name that begins as a network address does, and is none; holds it.
    #[error("{0}: expected tcp:HOST:PORT, as in tcp:192.0.2.7:4000")]
    Address(String),
    /// Nobody answers at the address.
    #[error("cannot open {name}: {error}; see that the bridge is on, and that this is its address and port")]
    Network {
        /// The port or address, as the user named it.
        name: String,
        /// What the system said.
        error: io::Error,
    },
    /// The port does not open.
    #[error(
        "cannot open {name}: {error}; another program may have it open, or your account may not use serial ports"
    )]
    Open {
        /// The port or address, as the user named it.
        name: String,
        /// What the system said.
        error: io::Error,
    },
}

/// Opens the port called `name` or, without a name, that of the one logger which is plugged in.
///
/// # Errors
/// [`PortError`]: no logger or several where none was named, an address that is none, a port or an address that does not open.
pub fn open(name: Option<&str>) -> Result<Box<dyn Wire>, PortError> {
    let name = match name {
        Some(name) => name.to_owned(),
        None => only(ports())?,
    };
    if let Some(address) = name.strip_prefix(NETWORK) {
        if !is_address(address) {
            return Err(PortError::Address(name));
        }
        return network(address).map_err(|error| PortError::Network { name, error });
    }
    let opened = serialport::new(&name, 115_200).timeout(SLICE).dtr_on_open(true).open();
    match opened {
        Ok(port) => Ok(Box::new(port)),
        Err(error) => Err(PortError::Open { name, error: error.into() }),
    }
}

/// A host and a port, whether or not there is such a host.
fn is_address(text: &str) -> bool {
    text.rsplit_once(':').is_some_and(|(host, port)| !host.is_empty() && port.parse::<u16>().is_ok())
}

fn ports() -> Vec<SerialPortInfo> {
    // Where there is no such folder, as in a container, the library would panic.
    if cfg!(target_os = "linux") && !Path::new("/sys/class/tty").exists() {
        return Vec::new();
    }
    serialport::available_ports().unwrap_or_default()
}

fn network(address: &str) -> io::Result<Box<dyn Wire>> {
    let address = address.to_socket_addrs()?.next().ok_or(io::ErrorKind::NotFound)?;
    let stream = TcpStream::connect_timeout(&address, Duration::from_secs(5))?;
    stream.set_read_timeout(Some(SLICE))?;
    stream.set_write_timeout(Some(Duration::from_secs(5)))?;
    stream.set_nodelay(true)?;
    Ok(Box::new(stream))
}

/// The name of the only logger among `ports`.
fn only(ports: Vec<SerialPortInfo>) -> Result<String, PortError> {
    let (loggers, others): (Vec<_>, Vec<_>) = ports.into_iter().partition(is_logger);
    let names = |ports: &[SerialPortInfo]| {
        let names: Vec<_> = ports.iter().map(|p| p.port_name.as_str()).collect();
        if names.is_empty() { "none".to_owned() } else { names.join(", ") }
    };
    match &loggers[..] {
        [] => Err(PortError::None(names(&others))),
        [one] => Ok(one.port_name.clone()),
        several => Err(PortError::Several(names(several))),
    }
}

fn is_logger(port: &SerialPortInfo) -> bool {
    // macOS lists every port twice; the one for dialling out is the one to open.
    if port.port_name.starts_with("/dev/tty.") {
        return false;
    }
    match &port.port_type {
        SerialPortType::UsbPort(usb) => match &usb.product {
            // Some systems write underscores for spaces, or add the port's name.
            Some(product) => product.replace('_', " ").contains(PRODUCT),
            None => (usb.vid, usb.pid) == NUMBERS,
        },
        _ => false,
    }
}

#[cfg(test)]
mod tests {
    use serialport::UsbPortInfo;

    use super::*;

    fn usb(name: &str, product: Option<&str>) -> SerialPortInfo {
        SerialPortInfo {
            port_name: name.into(),
            port_type: SerialPortType::UsbPort(UsbPortInfo {
                vid: NUMBERS.0,
                pid: NUMBERS.1,
                serial_number: None,
                manufacturer: None,
                product: product.map(Into::into),
            }),
        }
    }

    #[test]
    fn one_logger_is_found_among_other_things() {
        let modem = SerialPortInfo { port_name: "COM1".into(), port_type: SerialPortType::Unknown };
        let ports = vec![modem, usb("COM4", Some("another gadget")), usb("COM7", Some("tubtrace_logger"))];
        assert_eq!(only(ports).unwrap(), "COM7");
        assert_eq!(only(vec![usb("COM3", None)]).unwrap(), "COM3");
        let twice = vec![usb("/dev/tty.usbmodem1", Some(PRODUCT)), usb("/dev/cu.usbmodem1", Some(PRODUCT))];
        assert_eq!(only(twice).unwrap(), "/dev/cu.usbmodem1");
    }

    #[test]
    fn none_and_several_are_said_with_what_to_do() {
        let none = only(vec![usb("COM4", Some("another gadget"))]).unwrap_err().to_string();
        assert!(none.contains("plug it in") && none.contains("COM4"), "{none}");
        let two = vec![usb("COM3", Some(PRODUCT)), usb("COM9", Some(PRODUCT))];
        let several = only(two).unwrap_err().to_string();
        assert!(several.contains("--port: COM3, COM9"), "{several}");
    }

    #[test]
    fn a_port_that_is_not_there_is_named() {
        let error = open(Some("tcp:127.0.0.1:1")).err().expect("nobody listens on port 1").to_string();
        assert!(error.starts_with("cannot open tcp:127.0.0.1:1:"), "{error}");
    }
}
