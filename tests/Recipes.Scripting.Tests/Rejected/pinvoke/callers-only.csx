// R2003
unsafe class Native
{
    [System.Runtime.InteropServices.UnmanagedCallersOnly]
    public static void F() { }
}
