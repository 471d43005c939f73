// note: overflow 255 -3 1 20 1,2;3,4
byte Clamp(int level) => (byte)Math.Clamp(level, 0, 255);
int[,] grid = { { 1, 2 }, { 3, 4 } };
grid[0, 0] *= 1;
string caught = "";
try
{
    int big = int.MaxValue;
    big += Clamp(1);
}
catch (OverflowException)
{
    caught = "overflow";
}

decimal price = 0.5m * 2;
long shifted = 5L << 2;
Report.Note($"{caught} {Clamp(300)} {(int)Math.Floor(-2.5)} {price:0} {shifted} {grid[0, 0]},{grid[0, 1]};{grid[1, 0]},{grid[1, 1]}");
