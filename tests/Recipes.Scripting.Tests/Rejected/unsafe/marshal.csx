// R2002
System.Runtime.InteropServices.Marshal.WriteByte((IntPtr)8, 1);
