// R2002
int Past()
{
    var one = new int[1];
    var s = System.Runtime.InteropServices.MemoryMarshal.CreateSpan(ref one[0], 1000);
    return s[999];
}

Past();
