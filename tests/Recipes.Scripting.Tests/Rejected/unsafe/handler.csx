// R2002 source
void Join()
{
    var text = new System.Runtime.CompilerServices.DefaultInterpolatedStringHandler(1, 1);
}

Join();
