// R2003
[System.Runtime.InteropServices.ComImport]
[System.Runtime.InteropServices.Guid("00000000-0000-0000-C000-000000000046")]
interface INative { }
