using System.Runtime.InteropServices;
using BenchmarkDotNet.Attributes;
using OpenCvSharp;
using Recipes.Api;
using Recipes.Imaging;

namespace Recipes.Benchmarks;

/// <summary>The operations that OpenCV has too, on the same pixels; results are checked equal before anything is timed.</summary>
public class AgainstOpenCv : IDisposable
{
    private Plane<Rgba8> art = null!;
    private Plane<byte> mask = null!;
    private Mat picture = null!, binary = null!;

    [Params(20)]
    public int Megapixels { get; set; }

    [Params(false, true)]
    public bool Photographic { get; set; }

    [GlobalSetup]
    public void Setup()
    {
        Cv2.SetNumThreads(Environment.ProcessorCount);
        art = Arts.Make(Megapixels, Photographic);
        mask = Find.PureWhite(art).Coverage;
        picture = new Mat(art.Height, art.Width, MatType.CV_8UC4);
        Marshal.Copy(MemoryMarshal.AsBytes<Rgba8>(art.ToContiguous()).ToArray(), 0, picture.Data, art.Width * art.Height * 4);
        binary = new Mat(art.Height, art.Width, MatType.CV_8UC1);
        Marshal.Copy(mask.ToContiguous(), 0, binary.Data, art.Width * art.Height);
        Same(FoundAndFilled().ToContiguous(), MemoryMarshal.Cast<byte, Rgba8>(Bytes(FoundAndFilledByOpenCv())));
        int regions = OpenCvRegions();
        if (Regions() != regions - 1)
        {
            throw new InvalidOperationException("The regions differ.");
        }

        using var theirs = OpenCvDistance();
        int[] ours = ExactDistance();
        for (int i = 0; i < ours.Length; i += 997)
        {
            if (Math.Abs(Math.Sqrt(ours[i]) - theirs.At<float>(i / art.Width, i % art.Width)) > 0.01)
            {
                throw new InvalidOperationException("The distances differ.");
            }
        }
    }

    [GlobalCleanup]
    public void Dispose()
    {
        picture?.Dispose();
        binary?.Dispose();
        GC.SuppressFinalize(this);
    }

    [Benchmark]
    public Plane<Rgba8> FoundAndFilled()
    {
        var cursor = new RecipeRun(Artwork.FromPixels(art), Setups.Light, new Dictionary<string, string>()).Art;
        cursor.MakePrintable(Find.PureWhite(art), "white");
        return cursor.Artwork.Flat;
    }

    [Benchmark]
    public Mat FoundAndFilledByOpenCv()
    {
        using var found = new Mat();
        Cv2.InRange(picture, new Scalar(255, 255, 255, 1), new Scalar(255, 255, 255, 255), found);
        var filled = picture.Clone();
        filled.SetTo(new Scalar(254, 254, 254, 255), found);
        return filled;
    }

    [Benchmark]
    public int Regions() => new Region(mask, art).Islands().Count;

    [Benchmark]
    public int OpenCvRegions()
    {
        using Mat labels = new(), stats = new(), centroids = new();
        return Cv2.ConnectedComponentsWithStats(binary, labels, stats, centroids, PixelConnectivity.Connectivity4);
    }

    [Benchmark]
    public int[] ExactDistance() => Distance.Squared(mask, toRegion: false);

    [Benchmark]
    public Mat OpenCvDistance()
    {
        var distance = new Mat();
        // A rim of nothing around the image, as ours counts what lies outside.
        using var framed = new Mat();
        Cv2.CopyMakeBorder(binary, framed, 1, 1, 1, 1, BorderTypes.Constant, Scalar.All(0));
        using var whole = new Mat();
        Cv2.DistanceTransform(framed, whole, DistanceTypes.L2, DistanceTransformMasks.Precise);
        whole[1, art.Height + 1, 1, art.Width + 1].CopyTo(distance);
        return distance;
    }

    private static byte[] Bytes(Mat mat)
    {
        byte[] bytes = new byte[mat.Rows * mat.Cols * 4];
        Marshal.Copy(mat.Data, bytes, 0, bytes.Length);
        return bytes;
    }

    private static void Same(ReadOnlySpan<Rgba8> one, ReadOnlySpan<Rgba8> other)
    {
        if (!one.SequenceEqual(other))
        {
            throw new InvalidOperationException("The pixels differ.");
        }
    }
}
