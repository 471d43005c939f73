// R4004
Action go = () => { };
for (int i = 0; i < 40; i++)
{
    go += go;
}
