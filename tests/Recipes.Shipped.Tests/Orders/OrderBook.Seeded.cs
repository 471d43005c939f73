using System.Globalization;
using static Recipes.Shipped.Tests.Orders.Delivery;

namespace Recipes.Shipped.Tests.Orders;

/// <summary>On demand: the same scenes in other sizes, turns and colors, as other files on other cloth.</summary>
internal static partial class OrderBook
{
    /// <summary>RECIPES_ORDERS_SEED, a whole number or several with commas between them: these orders are judged and not the book's.</summary>
    public static IReadOnlyList<Order>? Seeded { get; } = Environment.GetEnvironmentVariable("RECIPES_ORDERS_SEED") is { } seeds
        ? [.. seeds.Split(',').SelectMany(seed => Changed(int.Parse(seed, CultureInfo.InvariantCulture)))]
        : null;

    /// <summary>True where these are judged.</summary>
    public static bool IsSeeded => Seeded is not null;

    private static IEnumerable<Order> Changed(int seed)
    {
        foreach (var orders in All.GroupBy(order => order.Scene.Name))
        {
            int name = orders.Key.Aggregate(seed, (sum, letter) => (sum * 31) + letter);
            var known = orders.ElementAt(Pick(6, orders.Count()));
            var delivery = known.Delivery.Name.StartsWith("as-drawn", StringComparison.Ordinal) ? AsDrawnJpeg(60 + Pick(7, 36)) : Another(known.Delivery);
            bool mayTurn = !known.Scene.Opaque && orders.Any(order => order.Delivery == CutOut || order.Delivery == Paper)
                && !known.Scene.Name.StartsWith("crop-", StringComparison.Ordinal)
                && orders.All(order => !order.Kinds.HasFlag(Kinds.FullFrame) && !order.Kinds.HasFlag(Kinds.Mixed));
            yield return new Order(known.Scene.Changed(seed, mayTurn), delivery, known.Setup, KindsOf(known.Scene, delivery));

            int Pick(int about, int many) => (int)(many * Shapes.Chance(name, about));

            Delivery Another(Delivery old)
            {
                // White art with a white rim would be no rim: only art that is cut badly in the book is cut badly here.
                Delivery[] rims = orders.Any(order => order.Delivery.Name.StartsWith("rim-", StringComparison.Ordinal))
                    ? [OldRim(1 + Pick(8, 6), false), OldRim(1 + Pick(8, 6), true)]
                    : [];
                Delivery[] fair = old.OnPaper
                    ? [Paper, Jpeg(60 + Pick(8, 36)), Jpeg(60 + Pick(8, 36)), Resized, EnlargedJpeg(70 + Pick(8, 26)), Sharpened, old]
                    : [CutOut, Trimmed, ResizedCutOut, HalvedCutOut, .. rims, JpegCut(75 + Pick(8, 21)), old];
                return fair[Pick(9, fair.Length)];
            }
        }
    }
}
