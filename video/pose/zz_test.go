package pose
import ("testing";"fmt";"os";"encoding/json";"image";"image/draw";"image/png";"math";"time")
func load(f string)*image.RGBA{ r,err:=os.Open(f); if err!=nil{panic(err)}; defer r.Close(); m,_:=png.Decode(r); o:=image.NewRGBA(m.Bounds()); draw.Draw(o,o.Rect,m,image.Point{},draw.Src); return o}
type tr struct{ Positions []struct{ Name string; Frames []struct{Clip string; Index int; Points_px map[string][2]float64 `json:"points_px"`; Visible map[string]bool}}}
var m=map[string]Name{"head":Nose,"lead shoulder":LeftShoulder,"trail shoulder":RightShoulder,"lead elbow":LeftElbow,"trail elbow":RightElbow,"lead wrist":LeftWrist,"trail wrist":RightWrist,"lead hip":LeftHip,"trail hip":RightHip,"lead knee":LeftKnee,"trail knee":RightKnee,"lead ankle":LeftAnkle,"trail ankle":RightAnkle,"lead heel":LeftHeel,"trail heel":RightHeel,"lead toe":LeftToe,"trail toe":RightToe}
var order=[]string{"head","lead shoulder","trail shoulder","lead elbow","trail elbow","lead wrist","trail wrist","lead hip","trail hip","lead knee","trail knee","lead ankle","trail ankle","lead heel","trail heel","lead toe","trail toe"}
func TestZZ(t *testing.T){
 b,_:=os.ReadFile("/tmp/try/demo/truth.json"); var T tr; json.Unmarshal(b,&T)
 f,err:=NewFinder(); if err!=nil{t.Fatal(err)}
 for _,clip:=range []string{"fo","dl"}{
  tot:=[]float64{}
  for i,p:=range T.Positions{
   for _,fr:=range p.Frames{ if fr.Clip!=clip{continue}
    im:=load(fmt.Sprintf("/tmp/hP/fr/%s-%d.png",clip,i+1))
    t0:=time.Now()
    rs:=f.Regions(im); t1:=time.Now()
    if len(rs)==0{fmt.Println(clip,p.Name,"none");continue}
    fig,ok:=f.Look(im,rs[0]); t2:=time.Now()
    fmt.Printf("%s %s regions %d %.0f ok %v %.3f  (%v %v) next %.0f\n",clip,p.Name,len(rs),rs[0],ok,fig.Score,t1.Sub(t0).Milliseconds(),t2.Sub(t1).Milliseconds(),fig.Next)
    s:=""
    for _,n:=range order{ q:=fr.Points_px[n]; l:=fig.Landmarks[m[n]]
     d:=math.Hypot(l.X-q[0],l.Y-q[1]); v:="."; if !fr.Visible[n]{v="h"} else {tot=append(tot,d)}
     s+=fmt.Sprintf("%s%s(%.0f,%.0f|%.2f) ",n,v,l.X-q[0],l.Y-q[1],l.Seen)
    }
    fmt.Println("   ",s)
   }
  }
  sum:=0.0; for _,d:=range tot{sum+=d*d}; fmt.Println(clip,"rms",math.Sqrt(sum/float64(len(tot))),len(tot))
 }
}
