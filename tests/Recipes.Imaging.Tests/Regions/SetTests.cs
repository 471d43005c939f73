using CsCheck;

namespace Recipes.Imaging.Tests;

public class SetTests
{
    private static readonly Gen<byte> Any = Gen.OneOf(Gen.Const((byte)0), Gen.Const((byte)255), Gen.Byte);
    private static readonly Gen<byte> Hard = Gen.Bool.Select(b => b ? (byte)255 : (byte)0);

    // The definitions: max, min, min(a, 255 - b), 255 - a (Zadeh 1965, fuzzy sets).
    [Fact]
    public void Coverage_follows_the_definitions_pixel_by_pixel() => Pictures.Pairs(Any).Holds((a, b) =>
    {
        byte[] x = a.Coverage.ToContiguous(), y = b.Coverage.ToContiguous();
        a.Union(b).Coverage.ToContiguous().ShouldBe(x.Zip(y, Math.Max));
        a.Intersect(b).Coverage.ToContiguous().ShouldBe(x.Zip(y, Math.Min));
        a.Except(b).Coverage.ToContiguous().ShouldBe(x.Zip(y, (p, q) => Math.Min(p, (byte)(255 - q))));
        a.Complement().Coverage.ToContiguous().ShouldBe(x.Select(p => (byte)(255 - p)));
    }, iter: 50);

    // Tiles of one value take shortcuts; every pair of values and kinds of tile must give the same as the definitions.
    [Fact]
    public void Tiles_of_one_value_follow_the_definitions() =>
        Gen.Select(Gen.OneOf(Gen.Const((byte)0), Gen.Const((byte)255), Gen.Byte), Any.Array[12], Gen.Bool).Holds((value, samples, turn) =>
        {
            Region one = Pictures.Of(4, 3, [.. Enumerable.Repeat(value, 12)]), mixed = Pictures.Of(4, 3, samples);
            var (a, b) = turn ? (one, mixed) : (mixed, one);
            byte[] x = a.Coverage.ToContiguous(), y = b.Coverage.ToContiguous();
            a.Union(b).Coverage.ToContiguous().ShouldBe(x.Zip(y, Math.Max));
            a.Intersect(b).Coverage.ToContiguous().ShouldBe(x.Zip(y, Math.Min));
            a.Except(b).Coverage.ToContiguous().ShouldBe(x.Zip(y, (p, q) => Math.Min(p, (byte)(255 - q))));
        });

    [Fact]
    public void Vectors_give_the_bytes_of_the_scalar_twin() => Gen.Int[0, 300].SelectMany(n => Gen.Select(Gen.Byte.Array[n], Gen.Byte.Array[n])).Holds((a, b) =>
    {
        ShouldBeTwins<UnionOperation>(a, b);
        ShouldBeTwins<IntersectOperation>(a, b);
        ShouldBeTwins<ExceptOperation>(a, b);
    });

    [Fact]
    public void Laws_of_sets_hold_for_hard_regions() => Pictures.Pairs(Hard).Holds((a, b) =>
    {
        a.Except(b).Intersect(b).IsEmpty.ShouldBeTrue();
        Pictures.Same(a.Union(b), b.Union(a)).ShouldBeTrue();
        Pictures.Same(a.Except(b).Union(a.Intersect(b)), a).ShouldBeTrue();
        Pictures.Same(a.Union(b).Complement(), a.Complement().Intersect(b.Complement())).ShouldBeTrue();
        (a.Count + b.Count).ShouldBe(a.Union(b).Count + a.Intersect(b).Count);
    }, iter: 50);

    [Fact]
    public void Complement_twice_is_the_region_with_soft_edges_too() =>
        Pictures.SoftRegions.Holds(a => Pictures.Same(a.Complement().Complement(), a), iter: 50);

    [Fact]
    public void What_changes_nothing_returns_the_same_object() => Pictures.SoftRegions.Holds(a =>
    {
        var none = Pictures.Of(a.Coverage.Width, a.Coverage.Height, new byte[a.Coverage.Width * a.Coverage.Height]);
        a.Union(a).ShouldBeSameAs(a);
        a.Intersect(a).ShouldBeSameAs(a);
        a.Union(none).ShouldBeSameAs(a);
        a.Except(none).ShouldBeSameAs(a);
    }, iter: 50);

    [Fact]
    public void Tiles_that_keep_their_bytes_stay_the_same_objects()
    {
        var checkered = Enumerable.Range(0, 300 * 20).Select(i => (byte)(i % 2 * 255)).ToArray();
        var left = Pictures.Of(300, 20, checkered);
        var spot = new byte[300 * 20];
        spot[200] = 255;
        var union = left.Union(Pictures.Of(300, 20, spot));
        union.Coverage.Tiles[0].ShouldBeSameAs(left.Coverage.Tiles[0]);
        union.Coverage.Tiles[1].ShouldNotBeSameAs(left.Coverage.Tiles[1]);
        union.Coverage.Tiles[2].ShouldBeSameAs(left.Coverage.Tiles[2]);
    }

    [Fact]
    public void The_art_of_the_left_region_stays()
    {
        Region a = Pictures.Of("#.."), b = Pictures.Of(".#.");
        a.Union(b).FoundIn.ShouldBeSameAs(a.FoundIn);
        a.Complement().FoundIn.ShouldBeSameAs(a.FoundIn);
    }

    [Fact]
    public void Regions_of_other_size_are_refused() =>
        Should.Throw<ArgumentException>(() => Pictures.Of("#").Union(Pictures.Of("##")));

    private static void ShouldBeTwins<TOperation>(byte[] a, byte[] b)
        where TOperation : ISetOperation
    {
        byte[] vectors = [.. a], scalars = [.. a];
        SetOperations.InVectors<TOperation>(vectors, b);
        SetOperations.OneByOne<TOperation>(scalars, b);
        vectors.ShouldBe(scalars);
    }
}
