use benchway::review::*;
struct R(u64);
impl R { fn u(&mut self)->f64{ self.0^=self.0<<13; self.0^=self.0>>7; self.0^=self.0<<17; (self.0>>11) as f64/(1u64<<53) as f64 }
 fn g(&mut self)->f64{ (-2.0*self.u().max(1e-300).ln()).sqrt()*(std::f64::consts::TAU*self.u()).cos() } }
fn main(){
 let mut r=R(88172645463325252);
 let (m,g,u)=(0.003,0.0015,0.003);
 let doubt=Doubt{uncertainty:u,band:Some(0.032)};
 let th:f64=std::env::args().nth(2).map_or(10.0,|s|s.parse().unwrap());
 let sp=match std::env::args().nth(1).as_deref(){Some("known")=>Spread{sd:(m*m+g*g as f64).sqrt(),worth:20.0},Some("six")=>Spread{sd:(m*m+g*g as f64).sqrt(),worth:6.0},Some("guess4")=>Spread{sd:0.0031,worth:4.0},Some("guess8")=>Spread{sd:0.0031,worth:8.0},_=>Spread{sd:g,worth:4.0}};
 for n in [8usize,16,32]{
  for fault in ["clean","wrong","creep","step","slip","dust"]{
   for k in [2.0,4.0,5.0,8.0]{
    if fault=="clean" && k!=2.0 {continue}
    let mut right=0; let mut any=0; let t=4000;
    let mut conf=std::collections::BTreeMap::new();
    for _ in 0..t{
      let a=k*(m*m+g*g as f64).sqrt(); let at=2+(r.u()*(n as f64-3.0)) as usize; let sl=(r.u()*n as f64) as usize;
      let row:Vec<f64>=(0..n).map(|i|{
        let f=match fault{"wrong"=>a,"creep"=>a*i as f64/(n-1) as f64,"step"=>if i>=at{a}else{0.0},"slip"=>if i==sl{a}else{0.0},"dust"=>if r.u()<0.25{-a}else{0.0},_=>0.0};
        let v=f+m*r.g()+g*r.g(); (v/0.0005).round()*0.0005}).collect();
      let told=story(&row,sp,doubt,th);
      let s=told.story().unwrap();
      let name=words::named(s);
      *conf.entry(name).or_insert(0)+=1;
      if told.happened(){any+=1}
      let ok=match (fault,s){("clean",Story::Steady{..})=>true,("wrong",Story::SetWrong{..})=>true,("creep",Story::Crept{..})=>true,("step",Story::Moved{..})=>true,("slip",Story::Slip{..})=>true,("dust",Story::Apart{..})=>true,_=>false};
      if ok{right+=1}
    }
    println!("{n:3} {fault:6} {k:3} right {:5.1} told {:5.1} {conf:?}",100.0*right as f64/t as f64,100.0*any as f64/t as f64);
   }}}
}
