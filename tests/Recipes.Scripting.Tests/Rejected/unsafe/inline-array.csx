// R2003
[System.Runtime.CompilerServices.InlineArray(4)]
struct Wing
{
    private int feather;
}

var w = new Wing();
w[0] = 1;
