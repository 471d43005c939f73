// R2002
void Refer()
{
    int n = 1;
    var r = __makeref(n);
}

Refer();
