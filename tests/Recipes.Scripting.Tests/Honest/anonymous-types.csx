// note: orange 3 { Name = beak, Size = 4 } True
var parts = new[] { new { Name = "wing", Color = "black", Size = 7 }, new { Name = "beak", Color = "orange", Size = 3 } };
var smallest = parts.MinBy(part => part.Size);
var beak = new { smallest.Name, Size = smallest.Size + 1 };
Report.Note($"{smallest.Color} {smallest.Size} {beak} {beak.Equals(new { Name = "beak", Size = 4 })}");
