// R2003
void Try<E>(Action go) where E : Exception
{
    try
    {
        go();
    }
    catch (E)
    {
    }
}

Try<Exception>(() => { });
