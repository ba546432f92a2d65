//! A JSON text and where each thing in it stands: strict reading that reports
//! every problem at line and column. Knows nothing of routes, shops or the disk.
