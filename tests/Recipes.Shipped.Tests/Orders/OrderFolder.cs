using System.Globalization;
using System.Text;
using Recipes.Imaging;
using SkiaSharp;

namespace Recipes.Shipped.Tests.Orders;

/// <summary>Writes every order as a file as it came, with its truth in colors beside it, for looking and for trying things out.</summary>
internal static class OrderFolder
{
    // Printing green, bare blue, dropping purple, bare or white orange, either gray; a question's place is shown by a second picture in yellow.
    private static readonly Rgba8[] Colors = [new(128, 128, 128), new(0, 158, 115), new(86, 180, 233), new(204, 121, 167), new(230, 159, 0)];

    private static readonly Rgba8[] Marks = [default, new(0, 200, 200), new(255, 0, 255), new(255, 220, 0)];

    // Of a contact sheet; a cell is px and holds one order's file, the next one its truth.
    private const int Columns = 5, Rows = 7, Cell = 190;

    internal static string? Path => Environment.GetEnvironmentVariable("RECIPES_ORDERS_OUT");

    /// <summary>Parts of names, with commas between them: for a look at a few orders only.</summary>
    internal static string? Only => Environment.GetEnvironmentVariable("RECIPES_ORDERS_ONLY");

    /// <summary>All orders, or those that are wanted.</summary>
    public static IReadOnlyList<Order> Orders { get; } =
        [.. (OrderBook.Seeded ?? OrderBook.All).Where(order => Only?.Split(',').Any(part => order.Name.Contains(part, StringComparison.Ordinal)) != false)];

    /// <summary>An order's art after a step, where a folder is named.</summary>
    public static void WriteStep(Order order, string step, Artwork art)
    {
        if (Path is not null)
        {
            Directory.CreateDirectory(Path);
            File.WriteAllBytes(System.IO.Path.Combine(Path, $"{order.Name}_{step}.png"), Delivery.Png(art.Flat.ToContiguous(), art.Width, art.Height));
        }
    }

    /// <summary>What an order came to, on its garment: magenta is wrong in silence, cyan is wrong and named, yellow a rim.</summary>
    public static void WriteFaults(Order order, Rgba8[] pixels, Wrong[] wrong)
    {
        if (Path is not null)
        {
            var art = order.Receive().Art;
            var marked = pixels.Select((pixel, i) => wrong[i] != Wrong.No ? Marks[(int)wrong[i]]
                : order.Setup.Ink.StateOf(pixel) == InkState.Prints ? Delivery.Over(pixel, order.Setup.Garment) : order.Setup.Garment);
            File.WriteAllBytes(System.IO.Path.Combine(Path, $"{order.Name}_faults.png"), Delivery.Png([.. marked], art.Width, art.Height));
        }
    }

    /// <summary>Each order's file, its truth and its list.</summary>
    public static void WriteOrders()
    {
        Directory.CreateDirectory(Path!);
        var list = new StringBuilder("name,file,scene,delivery,setup,kinds,needs\n");
        foreach (var order in Orders)
        {
            var received = order.Receive();
            var truth = order.TruthOf(received);
            var (width, height) = (received.Art.Width, received.Art.Height);
            string file = order.Name + (received.File is null ? ".png" : ".jpg");
            File.WriteAllBytes(System.IO.Path.Combine(Path!, file), received.File ?? Delivery.Png(received.Pixels, width, height));
            Picture("truth", truth.Verdicts.Select(verdict => Colors[(int)verdict]));
            Picture("garment", truth.Seen);
            for (int k = 0; k < truth.Needs.Length; k++)
            {
                Picture($"ask{k + 1}", truth.Needs[k].Where.Select(isThere => isThere ? new Rgba8(240, 228, 66) : new Rgba8(40, 40, 40)));
            }

            string kinds = order.Kinds.ToString().Replace(", ", "|", StringComparison.Ordinal);
            string needs = string.Join('|', truth.Needs.Select(need => need.About));
            list.AppendLine(CultureInfo.InvariantCulture, $"{order.Name},{file},{order.Scene},{order.Delivery},{order.Setup.Name},{kinds},{needs}");

            void Picture(string what, IEnumerable<Rgba8> pixels) =>
                File.WriteAllBytes(System.IO.Path.Combine(Path!, $"{order.Name}_{what}.png"), Delivery.Png([.. pixels], width, height));
        }

        File.WriteAllText(System.IO.Path.Combine(Path!, "orders.csv"), list.ToString());
    }

    /// <summary>All orders and their truths on sheets.</summary>
    public static void WriteSheets()
    {
        Directory.CreateDirectory(Path!);
        foreach (var (orders, sheet) in Orders.Chunk(Columns * Rows).Select((orders, sheet) => (orders, sheet)))
        {
            using var surface = SKSurface.Create(new SKImageInfo(Columns * Cell * 2, Rows * Cell));
            surface.Canvas.Clear(new SKColor(110, 130, 110));
            foreach (var (order, place) in orders.Select((order, place) => (order, place)))
            {
                var received = order.Receive();
                Put(received.Pixels, 0);
                Put([.. order.TruthOf(received).Verdicts.Select(verdict => Colors[(int)verdict])], 1);

                void Put(Rgba8[] pixels, int second)
                {
                    var (width, height) = (received.Art.Width, received.Art.Height);
                    float scale = (Cell - 6f) / Math.Max(width, height);
                    using var image = SKImage.FromEncodedData(Delivery.Png(pixels, width, height))!;
                    int x = ((place % Columns * 2) + second) * Cell, y = place / Columns * Cell;
                    surface.Canvas.DrawImage(
                        image, new SKRect(x, y, x + (width * scale), y + (height * scale)), new SKSamplingOptions(SKFilterMode.Linear, SKMipmapMode.Linear));
                }
            }

            using var snapshot = surface.Snapshot();
            using var data = snapshot.Encode(SKEncodedImageFormat.Png, 100)!;
            File.WriteAllBytes(System.IO.Path.Combine(Path!, $"sheet-{sheet + 1}.png"), data.ToArray());
        }
    }
}
