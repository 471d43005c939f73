// R2003
[System.Runtime.InteropServices.StructLayout(System.Runtime.InteropServices.LayoutKind.Explicit)]
struct Both
{
    [System.Runtime.InteropServices.FieldOffset(0)] public object O;
    [System.Runtime.InteropServices.FieldOffset(0)] public long L;
}
