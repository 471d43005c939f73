// note: found 2,1 after 3 rows
int[][] rows = [[1, 2], [3, 4], [5, 9]];
int row = 0, column = 0, seen = 0;
for (row = 0; row < rows.Length; row++)
{
    seen++;
    for (column = 0; column < 2; column++)
    {
        if (rows[row][column] == 9)
        {
            goto found;
        }
    }
}

Report.Note("missing");
found:
switch (seen)
{
    case 3:
        goto case 4;
    case 4:
        Report.Note($"found {row},{column} after {seen} rows");
        break;
}
